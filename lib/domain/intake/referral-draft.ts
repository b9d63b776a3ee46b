/**
 * A referral as it is known on arrival, whichever way it came in: typed, from a
 * CSV file or from a FHIR Bundle. Every way in writes down the same raw fields,
 * and `readDraft` turns them into one checked shape or says, field by field,
 * what is wrong and how to mend it.
 *
 * A field that is absent is null and is asked for (`missingFrom`). A field that
 * is present but wrong is never dropped in silence.
 */

import { z } from 'zod'
import { isShowable } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { PRIORITIES, type Priority } from '../desk/stages.ts'
import { LOCALES, type Locale, SIDES, type Side } from '../protocol/schema.ts'
import { canonicalTag } from './language-tag.ts'
import { readPhone } from './phone-number.ts'
import { findState } from './us-states.ts'

const NAME_MAX = 100
const REASON_MAX = 4000
const TEXT_MAX = 200
const ICD10_MAX = 12
/** A birth date further back is a slip of the pen. */
const OLDEST_YEARS = 120

const name = z.string().min(1).max(NAME_MAX)
const text = z.string().min(1).max(TEXT_MAX)
const e164 = z.string().regex(/^\+[1-9]\d{6,14}$/)
/** Same shape as the protocol's codes; the list itself is not shipped. */
const icd10 = z.string().regex(/^[A-Z][0-9][0-9A-B](\.[0-9A-Z]{1,4})?$/)

export const referralDraftSchema = z.strictObject({
  externalId: text.nullable(),
  givenName: name,
  familyName: name,
  birthDate: z.iso.date().nullable(),
  phone: e164.nullable(),
  email: z.email().max(254).nullable(),
  /** What they read. */
  language: z.enum(LOCALES),
  /** BCP 47; null = no interpreter asked for. */
  interpreterLanguage: z.string().nullable(),
  addressLine: text.nullable(),
  city: text.nullable(),
  state: z
    .string()
    .regex(/^[A-Z]{2}$/)
    .nullable(),
  postalCode: z
    .string()
    .regex(/^\d{5}(-\d{4})?$/)
    .nullable(),
  timeZone: z.string().nullable(),
  referrerName: text.nullable(),
  referrerPhone: e164.nullable(),
  receivedOn: z.iso.date(),
  reason: z.string().min(1).max(REASON_MAX),
  icd10: z.array(icd10).max(ICD10_MAX),
  conditionText: text.nullable(),
  side: z.enum(SIDES).nullable(),
  priority: z.enum(PRIORITIES),
})
export type ReferralDraft = z.output<typeof referralDraftSchema>
export type DraftField = keyof ReferralDraft

/** What a draft tells of the person beside the name and the language they read; a later draft fills the blanks. */
export const PERSON_FIELDS = [
  'birthDate',
  'phone',
  'email',
  'interpreterLanguage',
  'addressLine',
  'city',
  'state',
  'postalCode',
  'timeZone',
] as const satisfies readonly DraftField[]

/** What was written, before anything is checked. Absent, null and blank are the same. */
export type RawReferral = { readonly [field in DraftField]?: string | null }

export const DRAFT_FAULTS = [
  'required',
  'too_long',
  'control_characters',
  'not_a_date',
  'date_in_future',
  'too_old',
  'not_a_phone',
  'phone_extension',
  'not_an_email',
  'not_a_language_we_write',
  'not_a_language_tag',
  'not_a_state',
  'not_a_postal_code',
  'not_a_time_zone',
  'not_an_icd10_code',
  'too_many_codes',
  'not_a_side',
  'not_a_priority',
] as const
export type DraftFaultCode = (typeof DRAFT_FAULTS)[number]
export type DraftFault = { field: DraftField; code: DraftFaultCode }

/** Words for people: what is wrong, and how to mend it. */
export const DRAFT_FAULT_WORDS: Readonly<Record<DraftFaultCode, { wrong: string; mend: string }>> = {
  required: { wrong: 'This is missing.', mend: 'Fill it in. If somebody has only one name, write it in both places.' },
  too_long: {
    wrong: 'This is too long.',
    mend: 'Shorten it: 100 characters for a name, 4000 for a reason, 200 elsewhere.',
  },
  control_characters: {
    wrong: 'This holds characters that cannot be shown.',
    mend: 'Type it again instead of pasting it.',
  },
  not_a_date: { wrong: 'This is not a date.', mend: 'Write year-month-day, like 1961-03-09.' },
  date_in_future: { wrong: 'This date is in the future.', mend: 'Check the year.' },
  too_old: { wrong: 'This date is more than 120 years ago.', mend: 'Check the year.' },
  not_a_phone: { wrong: 'This is not a phone number.', mend: 'Write ten digits, or + and the country code first.' },
  phone_extension: {
    wrong: 'This number has an extension.',
    mend: 'Write the number alone, and the extension in the reason.',
  },
  not_an_email: { wrong: 'This is not an e-mail address.', mend: 'Write it like name@example.org, or leave it empty.' },
  not_a_language_we_write: {
    wrong: 'We do not write in this language.',
    mend: 'Write en or es here, and the other language as the interpreter’s.',
  },
  not_a_language_tag: { wrong: 'This is not a language tag.', mend: 'Write the short tag, like es, vi or zh-Hant.' },
  not_a_state: { wrong: 'This is not a state of the United States.', mend: 'Write the two letters, like OR.' },
  not_a_postal_code: { wrong: 'This is not a ZIP code.', mend: 'Write five digits, or five, a hyphen and four.' },
  not_a_time_zone: { wrong: 'This is not a time zone.', mend: 'Write its full name, like America/Denver.' },
  not_an_icd10_code: {
    wrong: 'This is not shaped like an ICD-10-CM code.',
    mend: 'Write codes like M76.821, with a space between two.',
  },
  too_many_codes: { wrong: 'There are more than 12 codes.', mend: 'Keep those that the referral is about.' },
  not_a_side: { wrong: 'This is not a side.', mend: 'Write left, right or both, or leave it empty.' },
  not_a_priority: { wrong: 'This is not an urgency.', mend: 'Write routine, urgent, asap or stat.' },
}

/** One sentence for a list of faults. */
export function sayDraftFault(code: DraftFaultCode): string {
  const { wrong, mend } = DRAFT_FAULT_WORDS[code]
  return `${wrong} ${mend}`
}

/** What was not told and has to be found out. */
export const MISSING = ['birth_date', 'phone', 'phone_or_email', 'side', 'state', 'time_zone'] as const
export type Missing = (typeof MISSING)[number]

export const MISSING_WORDS: Readonly<Record<Missing, { what: string; why: string }>> = {
  birth_date: { what: 'Date of birth', why: 'The home check opens only with it.' },
  phone: {
    what: 'Phone number',
    why: 'It is how the clinician calls back when the picture is lost or help is needed.',
  },
  phone_or_email: { what: 'A phone number or e-mail address', why: 'There is no way to reach the patient.' },
  side: { what: 'Left, right or both', why: 'The exam is planned for a side.' },
  state: { what: 'State', why: 'The clinician must be licensed where the patient will be.' },
  time_zone: { what: 'Time zone', why: 'The state has more than one; the visit would be an hour off.' },
}

/** What is still to be found out, in the order to ask. Somebody without e-mail lacks nothing. */
export function missingFrom(
  draft: Pick<ReferralDraft, 'birthDate' | 'phone' | 'email' | 'side' | 'state' | 'timeZone'>,
): Missing[] {
  const missing: Missing[] = []
  if (draft.birthDate === null) missing.push('birth_date')
  if (draft.phone === null) missing.push(draft.email === null ? 'phone_or_email' : 'phone')
  if (draft.side === null) missing.push('side')
  if (draft.state === null) missing.push('state')
  if (draft.timeZone === null) missing.push('time_zone')
  return missing
}

type Read<T> = Result<T, DraftFaultCode>

/** Checks and normalises raw fields. `today` is the clinic's date. All faults at once, never only the first. */
export function readDraft(raw: RawReferral, today: Temporal.PlainDate): Result<ReferralDraft, DraftFault[]> {
  const faults: DraftFault[] = []
  const field = <T>(key: DraftField, read: (written: string) => Read<T>): T | null => {
    const written = (raw[key] ?? '').normalize('NFC').trim()
    if (written === '') return null
    const result = read(written)
    if (result.ok) return result.value
    faults.push({ field: key, code: result.error })
    return null
  }
  const needed = <T>(key: DraftField, read: (written: string) => Read<T>, blank: T): T => {
    const before = faults.length
    const value = field(key, read)
    if (value === null && faults.length === before) faults.push({ field: key, code: 'required' })
    return value ?? blank
  }

  const state = field('state', readState)
  const draft: ReferralDraft = {
    externalId: field('externalId', readLine(TEXT_MAX)),
    givenName: needed('givenName', readLine(NAME_MAX), ''),
    familyName: needed('familyName', readLine(NAME_MAX), ''),
    birthDate: field('birthDate', (written) => readBirthDate(written, today)),
    phone: field('phone', readPhone),
    email: field('email', readEmail),
    language: field('language', readLanguage) ?? 'en',
    interpreterLanguage: field('interpreterLanguage', readLanguageTag),
    addressLine: field('addressLine', readLine(TEXT_MAX)),
    city: field('city', readLine(TEXT_MAX)),
    state: state?.code ?? null,
    postalCode: field('postalCode', readPostalCode),
    timeZone: field('timeZone', readTimeZone) ?? state?.timeZone ?? null,
    referrerName: field('referrerName', readLine(TEXT_MAX)),
    referrerPhone: field('referrerPhone', readPhone),
    receivedOn: needed('receivedOn', (written) => readPastDate(written, today), ''),
    reason: needed('reason', readReason, ''),
    icd10: field('icd10', readCodes) ?? [],
    conditionText: field('conditionText', readLine(TEXT_MAX)),
    side: field('side', readSide),
    priority: field('priority', readPriority) ?? 'routine',
  }
  return faults.length > 0 ? err(faults) : ok(draft)
}

function readLine(max: number): (written: string) => Read<string> {
  return (written) => {
    if (!isShowable(written)) return err('control_characters')
    const line = written.replace(/\s+/gu, ' ')
    return line.length > max ? err('too_long') : ok(line)
  }
}

function readReason(written: string): Read<string> {
  const reason = written.replace(/\r\n?/g, '\n')
  if (!isShowable(reason.replace(/[\n\t]/g, ' '))) return err('control_characters')
  return reason.length > REASON_MAX ? err('too_long') : ok(reason)
}

/** Only year-month-day: 03/09/1961 is March to one reader and September to another. */
function readDate(written: string): Read<Temporal.PlainDate> {
  if (!/^\d{4}-\d{2}-\d{2}$/.test(written)) return err('not_a_date')
  try {
    return ok(Temporal.PlainDate.from(written, { overflow: 'reject' }))
  } catch {
    return err('not_a_date')
  }
}

function readPastDate(written: string, today: Temporal.PlainDate): Read<string> {
  const date = readDate(written)
  if (!date.ok) return date
  return Temporal.PlainDate.compare(date.value, today) > 0 ? err('date_in_future') : ok(written)
}

function readBirthDate(written: string, today: Temporal.PlainDate): Read<string> {
  const date = readPastDate(written, today)
  if (!date.ok) return date
  return written < today.subtract({ years: OLDEST_YEARS }).toString() ? err('too_old') : date
}

const email = z.email().max(254)

function readEmail(written: string): Read<string> {
  return email.safeParse(written).success ? ok(written) : err('not_an_email')
}

const LANGUAGE_NAMES: Readonly<Record<string, Locale>> = { english: 'en', spanish: 'es', español: 'es' }

function readLanguage(written: string): Read<Locale> {
  const lower = written.toLowerCase()
  const tag = LANGUAGE_NAMES[lower] ?? lower.split(/[-_]/)[0]
  const locale = LOCALES.find((one) => one === tag)
  return locale ? ok(locale) : err('not_a_language_we_write')
}

function readLanguageTag(written: string): Read<string> {
  const tag = canonicalTag(written)
  return tag === null ? err('not_a_language_tag') : ok(tag)
}

function readState(written: string): Read<{ code: string; timeZone: string | null }> {
  const state = findState(written)
  return state ? ok(state) : err('not_a_state')
}

function readPostalCode(written: string): Read<string> {
  const digits = /^(\d{5})-?(\d{4})?$/.exec(written)
  if (!digits) return err('not_a_postal_code')
  return ok(digits[2] === undefined ? `${digits[1]}` : `${digits[1]}-${digits[2]}`)
}

const listedZones = new Set(Intl.supportedValuesOf('timeZone'))

/** A named zone of the IANA database. Offsets are refused: they are wrong for half the year. */
function readTimeZone(written: string): Read<string> {
  if (listedZones.has(written)) return ok(written)
  if (!/^[A-Za-z_]+\/[A-Za-z_/-]+$/.test(written)) return err('not_a_time_zone')
  try {
    return ok(new Intl.DateTimeFormat('en', { timeZone: written }).resolvedOptions().timeZone)
  } catch {
    return err('not_a_time_zone')
  }
}

function readCodes(written: string): Read<string[]> {
  const codes = [
    ...new Set(
      written
        .toUpperCase()
        .split(/[\s,;|]+/)
        .filter((code) => code !== '')
        .map(withDot),
    ),
  ]
  if (codes.length > ICD10_MAX) return err('too_many_codes')
  return codes.every((code) => icd10.safeParse(code).success) ? ok(codes) : err('not_an_icd10_code')
}

/** Some senders leave the dot out: M76821 is M76.821. */
function withDot(code: string): string {
  return code.length > 3 && !code.includes('.') ? `${code.slice(0, 3)}.${code.slice(3)}` : code
}

const SIDE_WORDS: Readonly<Record<string, Side>> = {
  left: 'left',
  l: 'left',
  right: 'right',
  r: 'right',
  both: 'both',
  bilateral: 'both',
}

function readSide(written: string): Read<Side> {
  const side = SIDE_WORDS[written.toLowerCase()]
  return side ? ok(side) : err('not_a_side')
}

function readPriority(written: string): Read<Priority> {
  const priority = PRIORITIES.find((one) => one === written.toLowerCase())
  return priority ? ok(priority) : err('not_a_priority')
}
