import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import {
  DRAFT_FAULT_WORDS,
  DRAFT_FAULTS,
  type DraftFault,
  missingFrom,
  type RawReferral,
  type ReferralDraft,
  readDraft,
  referralDraftSchema,
} from '#lib/domain/intake/referral-draft.ts'
import { US_STATES } from '#lib/domain/intake/us-states.ts'

const today = Temporal.PlainDate.from('2026-03-10')

const whole: RawReferral = {
  externalId: 'R-1',
  givenName: 'Quillon',
  familyName: 'Samplewood',
  birthDate: '1961-03-09',
  phone: '303-555-0101',
  email: 'quillon@example.org',
  language: 'en',
  state: 'CO',
  postalCode: '80000',
  receivedOn: '2026-03-09',
  reason: 'Right inner ankle pain',
  icd10: 'M76.821',
  side: 'right',
  priority: 'routine',
}

function draftOf(change: RawReferral): ReferralDraft {
  const read = readDraft({ ...whole, ...change }, today)
  if (!read.ok) throw new Error(JSON.stringify(read.error))
  return read.value
}

function faultsOf(change: RawReferral): DraftFault[] {
  const read = readDraft({ ...whole, ...change }, today)
  return read.ok ? [] : read.error
}

describe('a referral is brought into one shape', () => {
  test.each<[string, RawReferral, Partial<ReferralDraft>]>([
    ['a number without a country code is taken as a US one', { phone: '(303) 555-0101' }, { phone: '+13035550101' }],
    ['a number from abroad keeps its country', { phone: '+44 20 7946 0958' }, { phone: '+442079460958' }],
    ['names lose the space around them', { givenName: '  Ana   Sofía ' }, { givenName: 'Ana Sofía' }],
    [
      'accents are composed, so that equal names are equal text',
      { givenName: 'Sofi\u0301a' },
      { givenName: 'Sof\u00eda' },
    ],
    ['a name written from right to left stays as it is', { familyName: 'مثال' }, { familyName: 'مثال' }],
    ['a name may hold an emoji', { familyName: 'Sample 👩‍🦽' }, { familyName: 'Sample 👩‍🦽' }],
    [
      'codes without their dot get it back, repeated ones go',
      { icd10: 'm76821, M76.821; S93401A' },
      { icd10: ['M76.821', 'S93.401A'] },
    ],
    ['a state may be written out', { state: 'new mexico' }, { state: 'NM' }],
    ['a state with one zone tells the zone', { timeZone: '' }, { timeZone: 'America/Denver' }],
    ['a state with two zones does not', { state: 'ID' }, { timeZone: null }],
    ['a zone that is told wins', { timeZone: 'America/Chicago' }, { timeZone: 'America/Chicago' }],
    ['bilateral is both', { side: 'Bilateral' }, { side: 'both' }],
    ['a language with a region is the language', { language: 'es-MX' }, { language: 'es' }],
    ['no language is English', { language: null }, { language: 'en' }],
    ['no urgency is routine', { priority: '' }, { priority: 'routine' }],
    [
      'an interpreter’s language is put in its canonical form',
      { interpreterLanguage: 'ZH-hant' },
      { interpreterLanguage: 'zh-Hant' },
    ],
    ['a reason keeps its lines', { reason: 'One\r\nTwo' }, { reason: 'One\nTwo' }],
    ['a nine-digit ZIP code gets its hyphen', { postalCode: '800001234' }, { postalCode: '80000-1234' }],
    ['born today is possible', { birthDate: '2026-03-10' }, { birthDate: '2026-03-10' }],
    ['120 years to the day is possible', { birthDate: '1906-03-10' }, { birthDate: '1906-03-10' }],
    ['29 February in a leap year exists', { birthDate: '1960-02-29' }, { birthDate: '1960-02-29' }],
  ])('%s', (_name, change, expected) => {
    expect(draftOf(change)).toMatchObject(expected)
  })

  test('what is read fits the published schema', () => {
    expect(referralDraftSchema.parse(draftOf({}))).toEqual(draftOf({}))
  })

  test('the schema takes no field that it does not know', () => {
    expect(referralDraftSchema.safeParse({ ...draftOf({}), diagnosis: 'x' }).success).toBe(false)
  })
})

describe('what is wrong is said, never dropped', () => {
  test.each<[string, RawReferral, DraftFault]>([
    ['no family name', { familyName: ' ' }, { field: 'familyName', code: 'required' }],
    ['no reason', { reason: null }, { field: 'reason', code: 'required' }],
    ['no day of receipt', { receivedOn: '' }, { field: 'receivedOn', code: 'required' }],
    ['101 letters', { givenName: 'x'.repeat(101) }, { field: 'givenName', code: 'too_long' }],
    ['4001 letters of reason', { reason: 'x'.repeat(4001) }, { field: 'reason', code: 'too_long' }],
    ['a zero byte in a name', { givenName: 'Qu\u0000ill' }, { field: 'givenName', code: 'control_characters' }],
    ['a line break in a name', { givenName: 'Qu\nill' }, { field: 'givenName', code: 'control_characters' }],
    [
      'a direction override in a name',
      { givenName: 'Qu\u202Eill' },
      { field: 'givenName', code: 'control_characters' },
    ],
    ['half a character', { givenName: 'Qu\ud83dill' }, { field: 'givenName', code: 'control_characters' }],
    ['born tomorrow', { birthDate: '2026-03-11' }, { field: 'birthDate', code: 'date_in_future' }],
    ['120 years and a day', { birthDate: '1906-03-09' }, { field: 'birthDate', code: 'too_old' }],
    ['29 February in a common year', { birthDate: '1961-02-29' }, { field: 'birthDate', code: 'not_a_date' }],
    [
      'a date whose day and month cannot be told apart',
      { birthDate: '03/09/1961' },
      { field: 'birthDate', code: 'not_a_date' },
    ],
    ['received tomorrow', { receivedOn: '2026-03-11' }, { field: 'receivedOn', code: 'date_in_future' }],
    ['seven digits', { phone: '555-0101' }, { field: 'phone', code: 'not_a_phone' }],
    ['an emergency number', { phone: '911' }, { field: 'phone', code: 'not_a_phone' }],
    ['words in a number', { phone: 'call 3035550101' }, { field: 'phone', code: 'not_a_phone' }],
    ['an extension', { referrerPhone: '303-555-0101 ext 12' }, { field: 'referrerPhone', code: 'phone_extension' }],
    ['a language we do not write', { language: 'vi' }, { field: 'language', code: 'not_a_language_we_write' }],
    [
      'a language that is not a tag',
      { interpreterLanguage: 'Spanish' },
      { field: 'interpreterLanguage', code: 'not_a_language_tag' },
    ],
    ['no such state', { state: 'ZZ' }, { field: 'state', code: 'not_a_state' }],
    ['a short ZIP code', { postalCode: '8000' }, { field: 'postalCode', code: 'not_a_postal_code' }],
    ['an offset as a zone', { timeZone: '-07:00' }, { field: 'timeZone', code: 'not_a_time_zone' }],
    ['no such zone', { timeZone: 'America/Sampleton' }, { field: 'timeZone', code: 'not_a_time_zone' }],
    ['not a code', { icd10: 'ANKLE' }, { field: 'icd10', code: 'not_an_icd10_code' }],
    [
      '13 codes',
      { icd10: Array.from({ length: 13 }, (_, n) => `M10.${n}`).join(' ') },
      { field: 'icd10', code: 'too_many_codes' },
    ],
    ['not a side', { side: 'inner' }, { field: 'side', code: 'not_a_side' }],
    ['not an urgency', { priority: 'soon' }, { field: 'priority', code: 'not_a_priority' }],
  ])('%s', (_name, change, fault) => {
    expect(faultsOf(change)).toEqual([fault])
  })

  // The set on which five e-mail validators agree (validator, isemail, zod and two more, compared in 2026).
  test.each([
    ['a@b.co', true],
    ['first.last+tag@example.com', true],
    ['a b@example.com', false],
    ['a..b@example.com', false],
  ])('the address %s is taken: %s', (email, isTaken) => {
    expect(faultsOf({ email })).toEqual(isTaken ? [] : [{ field: 'email', code: 'not_an_email' }])
  })

  test('all faults are told at once', () => {
    expect(faultsOf({ familyName: '', side: 'inner', phone: '1' }).map((fault) => fault.field)).toEqual([
      'familyName',
      'phone',
      'side',
    ])
  })

  test('each fault says what is wrong and how to mend it', () => {
    for (const code of DRAFT_FAULTS) {
      expect(DRAFT_FAULT_WORDS[code].wrong).toMatch(/\.$/)
      expect(DRAFT_FAULT_WORDS[code].mend).toMatch(/\.$/)
    }
  })
})

describe('what is missing is listed', () => {
  test('a whole referral lacks nothing', () => {
    expect(missingFrom(draftOf({}))).toEqual([])
  })

  test('somebody without e-mail lacks nothing', () => {
    expect(missingFrom(draftOf({ email: null }))).toEqual([])
  })

  test('everything that was not told is asked for, in order', () => {
    const bare = draftOf({ birthDate: null, phone: null, email: null, side: null, state: null })
    expect(missingFrom(bare)).toEqual(['birth_date', 'phone_or_email', 'side', 'state', 'time_zone'])
  })

  test('with e-mail alone the phone is still asked for: it is the way back when the picture is lost', () => {
    expect(missingFrom(draftOf({ phone: null }))).toEqual(['phone'])
  })
})

// United States Postal Service: 50 states, the District and five territories (from memory).
test('there are 56 states and territories, each once, each zone known to the runtime', () => {
  expect(new Set(US_STATES.map((state) => state.code)).size).toBe(56)
  for (const { timeZone } of US_STATES) {
    if (timeZone !== null) expect(() => new Intl.DateTimeFormat('en', { timeZone })).not.toThrow()
  }
})
