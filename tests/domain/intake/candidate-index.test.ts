import fc from 'fast-check'
import { expect, test } from 'vitest'
import { birthDatesNear, candidatesFor, indexCandidates } from '#lib/domain/intake/candidate-index.ts'
import { type Candidate, likelySamePatient } from '#lib/domain/intake/matching.ts'

/** Few names, dates and numbers, each close to another, so that most pairs have something in common. */
const person = fc.record({
  givenName: fc.constantFrom(
    'Maris',
    'Mariss',
    'Maris José',
    'José Maris',
    'Tamsin',
    'Samplewood',
    'Anne-Marie',
    'Annemarie',
  ),
  familyName: fc.constantFrom(
    'Samplewood',
    'Samplewod',
    'Sample Wood',
    'Maris',
    'Testerley Samplewood',
    'Łódka',
    'Lodka',
  ),
  birthDate: fc.constantFrom(null, '1961-03-09', '1961-09-03', '1962-03-09', '1961-03-19', '1980-12-31'),
  phone: fc.constantFrom(null, '+12025550101', '+12025550102'),
  email: fc.constantFrom(null, 'one@example.org', 'One@example.org', 'two@example.org'),
})

// Safety guarantee: looking in the index instead of at everybody must never lose somebody who may be the same person.
test('whoever would be named among everybody is found by way of the index', () => {
  fc.assert(
    fc.property(person, fc.array(person, { maxLength: 12 }), (draft, people) => {
      const candidates: Candidate[] = people.map((one, at) => ({ ...one, id: `pat_${at}` }))
      const found = candidatesFor(draft, indexCandidates(candidates))
      expect(likelySamePatient(draft, found)).toEqual(likelySamePatient(draft, candidates))
    }),
    { numRuns: 2000, seed: 20260302 },
  )
})

test('near dates are real dates one digit or one swap away', () => {
  const near = birthDatesNear('1961-03-09')
  expect(near).toContain('1961-09-03')
  expect(near).toContain('1961-03-19')
  expect(near).toContain('1951-03-09')
  expect(near).not.toContain('1961-03-09')
  expect(near).not.toContain('1961-93-09')
  expect(birthDatesNear('1960-02-28')).toContain('1960-02-29')
  expect(birthDatesNear('1961-02-28')).not.toContain('1961-02-29')
})
