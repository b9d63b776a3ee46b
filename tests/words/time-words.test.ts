/** Names of days, months and zones are CLDR's, as the platform carries them; offsets are tzdata's. */
import { expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { clockWords, dateWords, instantWords } from '#lib/words/time-words.ts'

// 1 December 2026 is a Tuesday (common calendar); New York stands at UTC-5 then, Phoenix at UTC-7 all year.
const at = Temporal.Instant.from('2026-12-01T14:30:00Z')

test.each([
  ['America/New_York', 'Tuesday, December 1, 9:30\u00a0AM Eastern Time'],
  ['America/Phoenix', 'Tuesday, December 1, 7:30\u00a0AM Mountain Standard Time'],
])('in %s the moment is said with weekday and zone', (zone, words) => {
  expect(instantWords(at, zone)).toBe(words)
})

test('a clock time holds together at the end of a line, in every language', () => {
  expect(clockWords(at, 'America/New_York')).toBe('9:30\u00a0AM')
  expect(clockWords(at, 'America/New_York', 'es')).toBe('9:30\u00a0a.m.')
})

test('across midnight the day is the one that people there have', () => {
  const late = Temporal.Instant.from('2026-12-02T05:30:00Z')
  expect(instantWords(late, 'America/New_York')).toMatch(/^Wednesday, December 2, 12:30/)
  expect(instantWords(late, 'America/Los_Angeles')).toMatch(/^Tuesday, December 1, 9:30/)
})

test('a date is said in the reader’s language', () => {
  const day = Temporal.PlainDate.from('2026-12-01')
  expect(dateWords(day)).toBe('Tuesday, December 1, 2026')
  expect(dateWords(day, 'es')).toBe('martes, 1 de diciembre de 2026')
})
