import fc from 'fast-check'
import { expect, test } from 'vitest'
import { recurrences } from '#lib/domain/calendar/recurrence.ts'
import { DAY_MS, zoneClock } from '#lib/domain/calendar/zone-clock.ts'

const clock = zoneClock('America/New_York', Date.parse('2019-01-01T00:00Z'), Date.parse('2030-01-01T00:00Z'))

// An old session is not walked through from its beginning; nothing but the time it takes may show it.
test('a rule falls on the same dates however late it is asked', () => {
  const days = fc.subarray(['MO', 'TU', 'WE', 'TH', 'FR', 'SA', 'SU'], { minLength: 1 })
  const rules = fc.oneof(
    fc.integer({ min: 1, max: 9 }).map((every) => `FREQ=DAILY;INTERVAL=${every}`),
    fc
      .tuple(
        fc.integer({ min: 1, max: 5 }),
        days,
        fc.constantFrom('', ';WKST=SU', ';WKST=WE', ';BYMONTH=1,6,7', ';COUNT=90'),
      )
      .map(([every, on, more]) => `INTERVAL=${every};FREQ=WEEKLY;BYDAY=${on.join(',')}${more}`),
    fc.constantFrom('FREQ=WEEKLY', 'FREQ=DAILY;BYMONTHDAY=13;BYDAY=FR', 'FREQ=WEEKLY;BYDAY=MO,FR;BYSETPOS=-1'),
    fc.constantFrom('FREQ=DAILY;INTERVAL=3;UNTIL=20270101T000000Z', 'FREQ=MONTHLY;BYDAY=-1FR', 'FREQ=DAILY;COUNT=400'),
  )
  const first = fc.integer({ min: 0, max: 400 }).map((day) => Date.parse('2020-01-01T09:30Z') + day * DAY_MS)
  const later = fc.integer({ min: -10 * 24, max: 2500 * 24 }).map((hours) => hours * 3_600_000)
  fc.assert(
    fc.property(rules, first, later, (rule, start, ahead) => {
      const from = start + ahead
      const to = from + 60 * DAY_MS
      const all = recurrences(rule, start, clock, start, to)
      expect(recurrences(rule, start, clock, from, to)).toEqual(all.filter((wall) => wall >= from))
    }),
    { seed: 77, numRuns: 300 },
  )
}, 60_000)
