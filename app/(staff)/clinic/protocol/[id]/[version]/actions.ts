'use server'

import { notFound, redirect } from 'next/navigation'
import { redirectToPart } from '#app/_server/redirect-to-part.ts'
import { type StaffCtx, staffContext } from '#app/_server/staff-page.ts'
import { type FormError, type FormState, refuse, valuesOf } from '#app/_ui/form-state.ts'
import type { Part } from '#lib/domain/versions/parts.ts'
import { dropDraft } from '#lib/usecases/drop-draft.ts'
import { type DraftEdit, type SaveDraftError, saveDraft } from '#lib/usecases/save-draft.ts'
import { type SignProtocolError, signProtocol } from '#lib/usecases/sign-protocol.ts'
import { textIn } from '../../../read-form.ts'
import { addressOf, STATEMENT } from '../../words.ts'

type Which = { id: string; version: number }

/** Saves the fields of one thing, or the figures (null part). */
export async function keepThing(
  which: Which,
  part: Part | null,
  thingId: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('protocol.write')
  const refused = await save(
    ctx,
    which,
    { kind: 'fields', part, thingId, typed: valuesOf(form) },
    'keep',
    previous,
    form,
  )
  const page = `${addressOf(which)}/${part ?? 'figures'}`
  return refused ?? redirectToPart(`${page}?done=saved${part === null ? '' : `&at=${thingId}`}#done`)
}

/** Takes a station out of the draft. */
export async function retire(which: Which, stationId: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('protocol.write')
  const refused = await save(ctx, which, { kind: 'retire', stationId }, 'retire', previous, form)
  return refused ?? redirect(`${addressOf(which)}/changes?done=retired`)
}

/** Makes one thing again what it is in the version in force. */
export async function takeBack(which: Which, group: string, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('protocol.write')
  const refused = await save(ctx, which, { kind: 'take_back', group }, `back-${group}`, previous, form)
  return refused ?? redirect(`${addressOf(which)}/changes?done=taken_back`)
}

/** Takes a whole document in. */
export async function bringIn(which: Which, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('protocol.write')
  const file = form.get('document')
  if (!(file instanceof File) || file.size === 0)
    return refuse(previous, form, [{ field: 'document', message: 'Choose the file to bring in' }])
  const refused = await save(ctx, which, { kind: 'document', text: await file.text() }, 'document', previous, form)
  return refused ?? redirect(`${addressOf(which)}/changes?done=brought_in`)
}

/** Null when it was saved. `field`: where a message stands that has no field of its own. */
async function save(
  ctx: StaffCtx,
  { id, version }: Which,
  edit: DraftEdit,
  field: string,
  previous: FormState,
  form: FormData,
): Promise<FormState | null> {
  const key = textIn(form, 'commandKey')
  const result = await saveDraft(ctx, { key, id, version, mark: textIn(form, 'mark'), edit })
  return result.ok ? null : refuse(previous, form, problemsOf(result.error, field))
}

function problemsOf(error: SaveDraftError, field: string): FormError[] {
  switch (error.code) {
    case 'not_allowed':
      return redirect('/not-allowed')
    case 'not_found':
      return notFound()
    case 'not_a_draft':
      return [{ field, message: 'This version was signed off meanwhile and can’t change any more. Make a new draft' }]
    case 'changed_meanwhile':
      return [{ field, message: CHANGED }]
    case 'field_faults':
      return error.faults.map((fault) => ({ field: fault.field, message: fault.message }))
    case 'document_faults':
      return error.faults.map(({ path, message }) => ({
        field,
        message: path === '' ? `The file ${message}` : `${path}: ${message}`,
      }))
    case 'nothing_left':
      return [{ field, message: 'There is nothing to do here any more. Open the page again' }]
    case 'command_of_someone_else':
      return [{ field, message: 'This form was sent already. Open the page again' }]
  }
}

const CHANGED =
  'Somebody has changed the draft since you opened this. Nothing of yours is lost: open the page in a second window to see what they wrote, then make your change there'

/** Drops the draft. */
export async function drop({ id, version }: Which, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('protocol.write')
  const key = textIn(form, 'commandKey')
  const result = await dropDraft(ctx, { key, id, version, mark: textIn(form, 'mark') })
  if (result.ok) return redirect('/clinic/protocol?done=dropped')
  const say = (message: string) => refuse(previous, form, [{ field: 'drop', message }])
  switch (result.error.code) {
    case 'not_allowed':
      return redirect('/not-allowed')
    case 'not_found':
      return notFound()
    case 'not_a_draft':
      return say('This version was signed off meanwhile. It stays')
    case 'changed_meanwhile':
      return say('Somebody has changed the draft since you opened this. Open the page again to see what they wrote')
    case 'only_one':
      return say('No version was ever signed off: without this one the clinic would have no protocol')
    case 'command_of_someone_else':
      return say('This form was sent already. Open the page again')
  }
}

/** Signs the draft off. */
export async function sign({ id, version }: Which, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('protocol.sign')
  const result = await signProtocol(ctx, {
    key: textIn(form, 'commandKey'),
    id,
    version,
    mark: textIn(form, 'mark'),
    name: textIn(form, 'name'),
    licence: textIn(form, 'licence'),
    statement: STATEMENT,
    isAgreed: textIn(form, 'agreed') === 'yes',
    // As typed: a blank may belong to it.
    passphrase: String(form.get('passphrase') ?? ''),
  })
  if (result.ok) return redirect(`${addressOf({ id, version })}?done=signed`)
  return refuse(previous, form, refusalsOf(result.error))
}

function refusalsOf(error: SignProtocolError): FormError[] {
  switch (error.code) {
    case 'not_allowed':
      return redirect('/not-allowed')
    case 'not_found':
      return notFound()
    case 'not_a_draft':
      return [{ field: 'sign', message: 'This version is signed off already. Open the page again' }]
    case 'changed_meanwhile':
      return [
        {
          field: 'sign',
          message: 'Somebody has changed the draft since you read it. Open the page again, read the changes, then sign',
        },
      ]
    case 'has_faults':
      return [{ field: 'sign', message: 'Something is wrong with the draft. Mend it first, then sign it off' }]
    case 'not_signed':
      return error.missing.map((field) => ({ field, message: NOT_SIGNED[field] }))
    case 'wrong_passphrase':
      return [{ field: 'passphrase', message: 'This is not the passphrase you have' }]
    case 'too_many_tries':
      return [{ field: 'passphrase', message: 'Too many tries. Wait a quarter of an hour, then try again' }]
    case 'command_of_someone_else':
      return [{ field: 'sign', message: 'This form was sent already. Open the page again' }]
  }
}

const NOT_SIGNED = {
  name: 'Type your name as your account has it',
  licence: 'Enter your licence: the state and the number',
  agreed: 'Tick that this is so. Without it nothing is signed off',
} as const
