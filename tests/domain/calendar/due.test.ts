import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { dueBy } from '#lib/domain/calendar/due.ts'
import type { SeeBy } from '#lib/domain/protocol/schema.ts'

const clinic = { timeZone: 'America/New_York', closesAt: '17:00', holidays: ['2026-05-25'] }
const due = (seeBy: SeeBy, from: string) =>
  dueBy(seeBy, Temporal.ZonedDateTime.from(`${from}[America/New_York]`).toInstant(), clinic)
    .toZonedDateTimeISO('America/New_York')
    .toPlainDateTime()
    .toString({ smallestUnit: 'minute' })

describe('see-by time', () => {
  // "Friday 16:00, due by Monday close of business": how a working day is usually read (NICE NG19 leaves it open).
  test.each<[string, SeeBy, string, string]>([
    [
      'Friday at four and one working day is Monday at closing',
      { within: 1, unit: 'working_days' },
      '2026-03-13T16:00',
      '2026-03-16T17:00',
    ],
    [
      'Friday after closing counts the same',
      { within: 1, unit: 'working_days' },
      '2026-03-13T22:00',
      '2026-03-16T17:00',
    ],
    ['a weekend day does not count', { within: 1, unit: 'working_days' }, '2026-03-14T10:00', '2026-03-16T17:00'],
    [
      'a holiday does not count (Memorial Day)',
      { within: 1, unit: 'working_days' },
      '2026-05-22T16:00',
      '2026-05-26T17:00',
    ],
    ['ten working days are two weeks', { within: 10, unit: 'working_days' }, '2026-03-02T09:00', '2026-03-16T17:00'],
    ['days include the weekend', { within: 2, unit: 'days' }, '2026-03-13T16:00', '2026-03-15T17:00'],
    ['a part of a day is dropped', { within: 1.5, unit: 'days' }, '2026-03-13T16:00', '2026-03-14T17:00'],
    [
      'hours run on the clock, over a change to summer time',
      { within: 24, unit: 'hours' },
      '2026-03-07T16:00',
      '2026-03-08T17:00',
    ],
    ['half an hour is half an hour', { within: 0.5, unit: 'hours' }, '2026-03-09T16:00', '2026-03-09T16:30'],
  ])('%s', (_name, seeBy, from, expected) => {
    expect(due(seeBy, from)).toBe(expected)
  })
})
