'use server'

import { notFound, redirect } from 'next/navigation'
import { type StaffCtx, staffContext } from '#app/_server/staff-page.ts'
import { type FormError, type FormState, refuse } from '#app/_ui/form-state.ts'
import type { AccountFault } from '#lib/domain/staffing/account-draft.ts'
import { type SaveAccountInput, saveAccount } from '#lib/usecases/save-account.ts'
import { passphraseFaultWords } from '../../passphrase-words.ts'
import { textIn } from '../../read-form.ts'

/** Adds an account, or saves who it is for. */
export async function keepAccount(accountId: string | null, previous: FormState, form: FormData): Promise<FormState> {
  const ctx = await staffContext('account.write')
  const raw = {
    name: textIn(form, 'name'),
    email: textIn(form, 'email'),
    role: textIn(form, 'role'),
    clinicianId: textIn(form, 'clinicianId'),
    // As typed: a blank may belong to it.
    passphrase: String(form.get('passphrase') ?? ''),
  }
  const done = accountId === null ? 'added' : 'saved'
  return write(ctx, { accountId, deed: { kind: 'write', raw } }, { field: 'role', done }, previous, form)
}

/** Closes an account, or opens it again. */
export async function standAccount(
  accountId: string,
  deed: 'close' | 'reopen',
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('account.write')
  return write(ctx, { accountId, deed: { kind: deed } }, { field: 'stand', done: deed }, previous, form)
}

async function write(
  ctx: StaffCtx,
  what: Pick<SaveAccountInput, 'accountId' | 'deed'>,
  { field, done }: { field: string; done: string },
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const result = await saveAccount(ctx, { ...what, key: textIn(form, 'commandKey') })
  if (result.ok) return redirect(`/clinic/accounts/${result.value.accountId}?done=${done}`)
  switch (result.error.code) {
    case 'not_allowed':
      return redirect('/not-allowed')
    case 'not_found':
      return notFound()
    case 'faults':
      return refuse(
        previous,
        form,
        result.error.faults.map((fault): FormError => ({ field: fault.field, message: accountFaultWords(fault) })),
      )
    case 'email_taken':
      return refuse(previous, form, [
        { field: 'email', message: 'There is an account with this e-mail already. Open that one instead' },
      ])
    case 'last_keeper':
      return refuse(previous, form, [
        {
          field,
          message:
            'Nobody would be left who may keep the accounts. First make somebody else an administrator or the clinic lead',
        },
      ])
    case 'command_of_someone_else':
      return refuse(previous, form, [{ field, message: 'This form was sent already. Open the page again' }])
  }
}

function accountFaultWords(fault: AccountFault): string {
  if (fault.field === 'passphrase') return passphraseFaultWords(fault.code)
  switch (fault.code) {
    case 'required':
      return {
        name: 'Enter the name',
        email: 'Enter the e-mail they sign in with',
        role: 'Choose what they work as',
        clinicianId: 'Choose which clinician they are. If they are not on the list, add them under People first',
      }[fault.field]
    case 'too_long':
      return 'This is too long'
    case 'no_address':
      return 'This is no e-mail address. One looks like name@example.org'
    case 'unknown':
      return 'This clinician is not on the list any more. Choose again'
  }
}
