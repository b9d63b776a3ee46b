/** Turns what was typed into the raw fields of a referral, and faults back into messages beside their fields. */
import type { FormError } from '#app/_ui/form-state.ts'
import { readDate } from '#app/_ui/read-date.ts'
import { type DraftFault, type DraftField, type RawReferral, sayDraftFault } from '#lib/domain/intake/referral-draft.ts'

const DATES: readonly DraftField[] = ['birthDate', 'receivedOn']

/** Every raw field that the form has. A date whose parts make no date is passed on as typed, so that it is refused. */
export function readRaw(form: FormData): RawReferral {
  const raw: { [field in DraftField]?: string } = {}
  for (const field of Object.keys(LABELS) as DraftField[]) {
    if (DATES.includes(field)) {
      const date = readDate(form, field)
      if (date.ok) raw[field] = date.value.toString()
      else if (date.error.code === 'not_a_date') raw[field] = 'not a date'
    } else {
      const written = form.get(field)
      if (typeof written === 'string') raw[field] = written
    }
  }
  return raw
}

/** In the order of the page: the summary reads like the form. */
export function sayFaults(faults: readonly DraftFault[], form: FormData): FormError[] {
  const order = [...form.keys()].map((name) => name.replace(/-(month|day|year)$/, ''))
  return faults
    .map(({ field, code }) => ({
      field,
      message: NEEDED[field] && code === 'required' ? NEEDED[field] : sayFault(field, code),
    }))
    .sort((a, b) => order.indexOf(a.field) - order.indexOf(b.field))
}

const NEEDED: { readonly [field in DraftField]?: string } = {
  givenName: 'Enter the first name',
  familyName: 'Enter the last name',
  reason: 'Enter the reason for the referral',
  receivedOn: 'Enter the day on which the referral reached the clinic',
}

/** Dates have their own fields here; elsewhere the file's wording fits. */
function sayFault(field: DraftField, code: DraftFault['code']): string {
  if (DATES.includes(field) && code === 'not_a_date') return 'Enter a day, a month and a year that make a date'
  return `${LABELS[field]}: ${sayDraftFault(code)}`
}

const LABELS: Record<DraftField, string> = {
  externalId: 'Their number',
  givenName: 'First name',
  familyName: 'Last name',
  birthDate: 'Date of birth',
  phone: 'Phone number',
  email: 'E-mail address',
  language: 'What they read',
  interpreterLanguage: 'Language of the interpreter',
  addressLine: 'Street and number',
  city: 'City',
  state: 'State',
  postalCode: 'ZIP code',
  timeZone: 'Time zone',
  referrerName: 'Who referred',
  referrerPhone: 'Their phone number',
  receivedOn: 'Day of the referral',
  reason: 'Reason',
  icd10: 'ICD-10-CM codes',
  conditionText: 'What the referrer suspects',
  side: 'Side',
  priority: 'Urgency',
}
