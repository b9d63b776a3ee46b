'use server'

import { redirect } from 'next/navigation'
import { type StaffCtx, signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import { type FormError, type FormState, refuse } from '#app/_ui/form-state.ts'
import type { LicenceFault, RawLicence } from '#lib/domain/staffing/licence-draft.ts'
import type { PersonFault, PersonKind } from '#lib/domain/staffing/person-draft.ts'
import { saveLicence } from '#lib/usecases/save-licence.ts'
import { type SavePersonInput, savePerson } from '#lib/usecases/save-person.ts'
import { plainDate } from '#lib/words/session-words.ts'
import { answerShared } from '../../../answer.ts'
import { dateIn, marksIn, textIn, versionIn } from '../../../read-form.ts'
import { stateName } from '../../words.ts'

/** Adds somebody, or saves who they are. */
export async function keepPerson(
  kind: PersonKind,
  personId: string | null,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('people.write')
  const raw = {
    name: textIn(form, 'name'),
    credentials: textIn(form, 'credentials'),
    languages: textIn(form, 'languages'),
    timeZone: textIn(form, 'timeZone'),
  }
  return write(ctx, kind, { personId, version: versionIn(form), deed: { kind: 'write', raw } }, 'name', previous, form)
}

/** Gives somebody up, or takes them back. */
export async function standPerson(
  kind: PersonKind,
  personId: string,
  deed: 'give_up' | 'take_back',
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('people.write')
  const version = Number(textIn(form, 'personVersion'))
  return write(ctx, kind, { personId, version, deed: { kind: deed } }, 'stand', previous, form)
}

async function write(
  ctx: StaffCtx,
  kind: PersonKind,
  what: Pick<SavePersonInput, 'personId' | 'version' | 'deed'>,
  field: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const { timeZone } = (await signedInStaff()).clinic
  const result = await savePerson(ctx, {
    ...what,
    key: textIn(form, 'commandKey'),
    kind,
    isDryRun: false,
    confirmed: marksIn(form),
  })
  if (result.ok) {
    const done = what.deed.kind === 'write' ? (what.personId === null ? 'added' : 'saved') : what.deed.kind
    return redirect(`/clinic/people/${kind}s/${result.value.personId}?done=${done}`)
  }
  if (result.error.code === 'faults')
    return refuse(
      previous,
      form,
      result.error.faults.map((fault): FormError => ({ field: fault.field, message: personFaultWords(fault) })),
    )
  return answerShared(previous, form, result.error, { field, timeZone })
}

function personFaultWords(fault: PersonFault): string {
  switch (fault.code) {
    case 'required':
      return {
        name: 'Enter the name',
        credentials: 'Enter the credentials, like DPM or MD',
        languages: 'Enter at least one language',
      }[fault.field]
    case 'too_long':
      return 'This is too long'
    case 'unknown_language':
      return `“${fault.tag}” is no language tag. English is en, Spanish is es`
    case 'unknown_zone':
      return 'This is no time zone we know. Write its full name, like America/New_York'
  }
}

/** Adds a licence, or changes one. */
export async function keepLicence(
  clinicianId: string,
  licenceId: string | null,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('people.write')
  const raw = { state: textIn(form, 'state'), validFrom: dateIn(form, 'validFrom'), validTo: dateIn(form, 'validTo') }
  return writeLicence(ctx, clinicianId, licenceId, raw, 'state', previous, form)
}

/** Takes a licence away that was written by mistake. */
export async function takeLicenceAway(
  clinicianId: string,
  licenceId: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const ctx = await staffContext('people.write')
  return writeLicence(ctx, clinicianId, licenceId, null, 'away', previous, form)
}

async function writeLicence(
  ctx: StaffCtx,
  clinicianId: string,
  licenceId: string | null,
  raw: RawLicence | null,
  field: string,
  previous: FormState,
  form: FormData,
): Promise<FormState> {
  const { timeZone } = (await signedInStaff()).clinic
  const result = await saveLicence(ctx, {
    key: textIn(form, 'commandKey'),
    clinicianId,
    version: Number(textIn(form, 'clinicianVersion')),
    licenceId,
    raw,
    isDryRun: false,
    confirmed: marksIn(form),
  })
  if (result.ok) return redirect(`/clinic/people/clinicians/${clinicianId}?done=licence`)
  switch (result.error.code) {
    case 'faults':
      return refuse(
        previous,
        form,
        result.error.faults.map((fault): FormError => ({ field: fault.field, message: licenceFaultWords(fault) })),
      )
    case 'was_used':
      return refuse(previous, form, [
        {
          field,
          message: 'Visits were booked on this licence. Give it an end instead: what it stood for stays on file',
        },
      ])
    default:
      return answerShared(previous, form, result.error, { field, timeZone })
  }
}

function licenceFaultWords(fault: LicenceFault): string {
  switch (fault.code) {
    case 'required':
      return fault.field === 'state' ? 'Choose the state' : 'Enter the first day on which it is valid'
    case 'not_a_date':
      return 'Enter a day, a month and a year that make a date'
    case 'before_start':
      return 'It ends before it starts'
    case 'overlaps': {
      const { state, validFrom, validTo } = fault.other
      const until = validTo === null ? 'with no end' : `until ${plainDate(validTo)}`
      return `There is a licence of ${stateName(state)} at that time already: from ${plainDate(validFrom)}, ${until}`
    }
  }
}
