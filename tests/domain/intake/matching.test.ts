import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  type Candidate,
  likelySamePatient,
  MATCH_REASONS,
  type MatchReason,
  patientKey,
  plain,
  referralFingerprint,
} from '#lib/domain/intake/matching.ts'

const draft = {
  givenName: 'María José',
  familyName: 'Muñoz-Ejemplo',
  birthDate: '1974-03-09',
  phone: '+15055550102',
  email: 'maria@example.org',
}
const known: Candidate = { ...draft, id: 'pat_1' }
const elsewhere = { phone: '+15055550199', email: 'other@example.org' }

// Worked by hand from the rules as written; common practice in finding double records, no published threshold.
describe('likelySamePatient', () => {
  test.each<[string, Partial<Candidate>, 'same' | 'likely' | null, MatchReason[]]>([
    ['everything equal', {}, 'same', ['same_name', 'same_birth_date', 'same_phone', 'same_email']],
    [
      'no accents, no hyphen, one e-mail',
      { givenName: 'MARIA JOSE', familyName: 'Munoz Ejemplo', phone: null },
      'same',
      ['same_name', 'same_birth_date', 'same_email'],
    ],
    ['name and birth date, reached elsewhere', elsewhere, 'likely', ['same_name', 'same_birth_date']],
    [
      'names the other way round',
      { givenName: 'Munoz Ejemplo', familyName: 'Maria Jose' },
      'likely',
      ['names_swapped', 'same_birth_date', 'same_phone', 'same_email'],
    ],
    ['one given name of two', { givenName: 'Maria', ...elsewhere }, 'likely', ['part_of_name', 'same_birth_date']],
    ['one family name of two', { familyName: 'Muñoz', ...elsewhere }, 'likely', ['part_of_name', 'same_birth_date']],
    [
      'a letter off',
      { familyName: 'Muñez Ejemplo', ...elsewhere },
      'likely',
      ['name_one_letter_off', 'same_birth_date'],
    ],
    [
      'two letters swapped',
      { familyName: 'Muñoz Ejepmlo', ...elsewhere },
      'likely',
      ['name_one_letter_off', 'same_birth_date'],
    ],
    [
      'day and month swapped',
      { birthDate: '1974-09-03', ...elsewhere },
      'likely',
      ['same_name', 'birth_day_and_month_swapped'],
    ],
    ['a digit off', { birthDate: '1979-03-09', ...elsewhere }, 'likely', ['same_name', 'birth_date_one_digit_off']],
    ['birth date not known', { birthDate: null, ...elsewhere }, 'likely', ['same_name', 'birth_date_not_known']],
    [
      'another name, all else equal',
      { givenName: 'Mary', familyName: 'Specimen' },
      'likely',
      ['same_birth_date', 'same_phone', 'same_email'],
    ],
    [
      'parent and child with one name and phone',
      { birthDate: '1998-12-24', email: null },
      'likely',
      ['same_name', 'different_birth_date', 'same_phone'],
    ],
    ['same name, other birth date, reached elsewhere', { birthDate: '1998-12-24', ...elsewhere }, null, []],
    [
      'a household’s phone alone',
      { givenName: 'Otto', familyName: 'Specimen', birthDate: '1950-01-01', email: null },
      null,
      [],
    ],
    ['a birth date alone', { givenName: 'Otto', familyName: 'Specimen', ...elsewhere }, null, []],
    [
      'part of a name, birth date not known, reached elsewhere',
      { givenName: 'Maria', birthDate: null, ...elsewhere },
      null,
      [],
    ],
  ])('%s', (_name, change, strength, because) => {
    const expected = strength === null ? [] : [{ candidateId: 'pat_1', strength, because }]
    expect(likelySamePatient(draft, [{ ...known, ...change }])).toEqual(expected)
  })

  // Twins share the family name, the date and the phone; they must never be made one without a person looking.
  test.each([
    ['Mira', 'Mara'],
    ['राम', 'रमा'],
  ])('twins %s and %s are never taken for the same', (one, other) => {
    const twin = { ...draft, email: null, familyName: 'Ejemplo' }
    const [match] = likelySamePatient({ ...twin, givenName: one }, [{ ...twin, givenName: other, id: 'pat_2' }])
    expect(match?.strength).toBe('likely')
  })

  test('the surest stands first, whatever the order asked in', () => {
    const candidates: Candidate[] = [
      { ...known, ...elsewhere, id: 'name_and_date' },
      { ...known, id: 'all' },
      { ...known, ...elsewhere, birthDate: null, id: 'no_date' },
    ]
    const expected = ['all', 'name_and_date', 'no_date']
    expect(likelySamePatient(draft, candidates).map((match) => match.candidateId)).toEqual(expected)
    expect(likelySamePatient(draft, candidates.toReversed()).map((match) => match.candidateId)).toEqual(expected)
  })

  test('who is likely whom does not depend on who is asked about', () => {
    const text = fc.constantFrom('Maria', 'Maria Jose', 'Mario', 'Ejemplo', 'Muñoz Ejemplo', 'Ejempol')
    const person = fc.record({
      givenName: text,
      familyName: text,
      birthDate: fc.constantFrom('1974-03-09', '1974-09-03', '1974-03-08', null),
      phone: fc.constantFrom('+15055550102', '+15055550103', null),
      email: fc.constantFrom('a@example.org', 'A@example.org', null),
    })
    fc.assert(
      fc.property(person, person, (a, b) => {
        const strip = (matches: ReturnType<typeof likelySamePatient>) =>
          matches.map(({ strength, because }) => ({ strength, because }))
        expect(strip(likelySamePatient(a, [{ ...b, id: 'x' }]))).toEqual(
          strip(likelySamePatient(b, [{ ...a, id: 'x' }])),
        )
      }),
      { seed: 7, numRuns: 500 },
    )
  })

  test('reasons are read out in one order', () => {
    const [match] = likelySamePatient(draft, [known])
    const order = match?.because.map((reason) => MATCH_REASONS.indexOf(reason)) ?? []
    expect(order).toEqual(order.toSorted((a, b) => a - b))
  })
})

test.each([
  ['O’Brien', 'obrien'],
  ["O'Brien", 'obrien'],
  ['Straße', 'strasse'],
  ['İpek', 'ipek'],
  ['Nguyễn', 'nguyen'],
  ['Đặng', 'dang'],
  ['Anne-Marie', 'anne marie'],
])('%s is compared as %s', (written, expected) => {
  expect(plain(written)).toBe(expected)
})

describe('the same referral again', () => {
  const referral = { externalId: 'R-1', receivedOn: '2026-03-09', reason: 'Right ankle pain.' }
  const key = patientKey(draft)

  test('the sender’s number decides, whatever else was changed', () => {
    expect(referralFingerprint({ ...referral, reason: 'Other' }, key)).toBe(referralFingerprint(referral, key))
  })

  test('without a number the day and the reason decide, not its capitals or full stops', () => {
    const noNumber = { ...referral, externalId: null }
    expect(referralFingerprint({ ...noNumber, reason: ' right  ANKLE pain' }, key)).toBe(
      referralFingerprint(noNumber, key),
    )
    expect(referralFingerprint({ ...noNumber, receivedOn: '2026-03-10' }, key)).not.toBe(
      referralFingerprint(noNumber, key),
    )
    expect(referralFingerprint({ ...noNumber, reason: 'Left ankle pain' }, key)).not.toBe(
      referralFingerprint(noNumber, key),
    )
  })

  // Two senders may both count from 1: dropping the second patient would lose a referral.
  test('another patient with the same number is another referral', () => {
    expect(referralFingerprint(referral, patientKey({ ...draft, givenName: 'Otto' }))).not.toBe(
      referralFingerprint(referral, key),
    )
  })

  test('a number never looks like a reason', () => {
    expect(referralFingerprint({ ...referral, externalId: 'x' }, key)).not.toBe(
      referralFingerprint({ externalId: null, receivedOn: '2026-03-09', reason: 'x' }, key),
    )
  })
})
