import { expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { nextDates } from '#lib/domain/calendar/next-dates.ts'
import type { ClinicSession } from '#lib/domain/calendar/session.ts'
import { dateNoteWords } from '#lib/words/session-words.ts'
import { aSession } from '#tests/support/sessions.ts'

const at = (text: string) => Temporal.Instant.from(text).epochMilliseconds
const none = new Map<string, string>()
const weekly = (change: Partial<ClinicSession> = {}) => aSession({ rule: 'FREQ=WEEKLY;BYDAY=TU', ...change })

test('the next eight dates keep nine o’clock over the change of the clocks, and it is said beside the first after it', () => {
  const dates = nextDates(weekly(), at('2026-02-20T12:00Z'), none, 8)
  expect(dates.map(({ date }) => date)).toEqual([
    ...['2026-02-24', '2026-03-03', '2026-03-10', '2026-03-17'],
    ...['2026-03-24', '2026-03-31', '2026-04-07', '2026-04-14'],
  ])
  expect(new Set(dates.map(({ opensAt, closesAt }) => `${opensAt} ${closesAt}`))).toEqual(new Set(['09:00 12:00']))
  // 15 U.S.C. 260a: the clocks go forward on the second Sunday of March.
  expect(dates.map(({ notes }) => notes)).toEqual([
    [],
    [],
    [{ code: 'clocks_forward', onDate: '2026-03-08' }],
    ...Array(5).fill([]),
  ])
  expect(dates.map((each) => each.notes.map((note) => dateNoteWords(note, each)))[2]).toEqual([
    'The clocks go forward on Sunday, March 8, 2026; it opens at 09:00 all the same',
  ])
})

test('holidays and dates with an exception stay in the list, with why', () => {
  const session = weekly({
    exceptions: [
      { kind: 'closed', onDate: '2026-01-13' },
      { kind: 'moved', onDate: '2026-01-20', toDate: '2026-01-22', opensAt: '13:00', durationMin: 60 },
      { kind: 'shortened', onDate: '2026-01-27', opensAt: '10:00', durationMin: 60 },
    ],
  })
  const holidays = new Map([
    ['2026-01-06', 'Founders’ Day'],
    ['2026-01-27', 'Another day'],
  ])
  expect(
    nextDates(session, at('2026-01-01T00:00Z'), holidays, 4).map(({ date, isOpen, opensAt, closesAt, notes }) => [
      ...[date, isOpen, opensAt, closesAt],
      notes.map(({ code }) => code).join(),
    ]),
  ).toEqual([
    ['2026-01-06', false, '09:00', '12:00', 'holiday'],
    ['2026-01-13', false, '09:00', '12:00', 'closed'],
    ['2026-01-22', true, '13:00', '14:00', 'moved'],
    ['2026-01-27', true, '10:00', '11:00', 'shortened,open_on_holiday'],
  ])
})

test('a time that the change of the clocks leaves out, or brings twice, is said', () => {
  const skipped = nextDates(
    aSession({ startsOn: '2026-03-08', opensAt: '02:30', durationMin: 60 }),
    at('2026-03-01T00:00Z'),
    none,
    8,
  )
  expect(skipped).toMatchObject([
    { date: '2026-03-08', opensAt: '03:30', closesAt: '04:30', notes: [{ code: 'time_skipped', meant: '02:30' }, {}] },
  ])
  const twice = nextDates(
    aSession({ startsOn: '2026-11-01', opensAt: '01:30', durationMin: 60 }),
    at('2026-10-01T00:00Z'),
    none,
    8,
  )
  // The first of the two; an hour later the clock shows the same time again.
  expect(twice).toMatchObject([{ opensAt: '01:30', closesAt: '01:30', notes: [{ code: 'time_twice' }, {}] }])
})

test('a date that was moved far ahead stays in the list, at its new place in it', () => {
  const moved = {
    kind: 'moved' as const,
    onDate: '2026-01-13',
    toDate: '2026-04-01',
    opensAt: '09:00',
    durationMin: 60,
  }
  const dates = nextDates(weekly({ exceptions: [moved] }), at('2026-03-25T00:00Z'), none, 3)
  expect(dates.map(({ date }) => date)).toEqual(['2026-03-31', '2026-04-01', '2026-04-07'])
})

test('rare rules are looked for far ahead, and an end is an end', () => {
  const leapDays = aSession({ startsOn: '2028-02-29', rule: 'FREQ=YEARLY' })
  expect(nextDates(leapDays, at('2026-01-01T00:00Z'), none, 3).map(({ date }) => date)).toEqual([
    '2028-02-29',
    '2032-02-29',
    '2036-02-29',
  ])
  const ending = weekly({ validTo: '2026-01-20' })
  expect(nextDates(ending, at('2026-01-07T00:00Z'), none, 8).map(({ date }) => date)).toEqual([
    '2026-01-13',
    '2026-01-20',
  ])
})
