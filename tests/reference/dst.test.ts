/**
 * Recurring sessions over every change of the clocks from 2026 to 2028: against
 * the published transitions, against cross-checked cases, against luxon 3.7.2
 * on rules that fall on each day of a change, and against
 * rrule-temporal 2.2.8 on random rules. One known difference: rrule-temporal
 * drops a date on which the wall time does not exist; RFC 5545 3.3.5 reads that
 * time with the offset before the gap, so the session opens later on the wall.
 */
import fc from 'fast-check'
import { DateTime } from 'luxon'
import { RRuleTemporal } from 'rrule-temporal'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { type ClinicSession, expandSession } from '#lib/domain/calendar/session.ts'
import transitions from './data/dst-2026-2028.json'
import crosscheck from './data/recurrence-crosscheck-2026.json'

function session(timeZone: string, dtstart: Temporal.PlainDateTime, rule: string | null): ClinicSession {
  return {
    id: 'ses_1',
    owner: { kind: 'clinician', id: 'cli_1' },
    mode: 'video',
    siteId: null,
    roomId: null,
    timeZone,
    startsOn: dtstart.toPlainDate().toString(),
    opensAt: dtstart.toPlainTime().toString({ smallestUnit: 'minute' }),
    durationMin: 60,
    rule,
    validTo: null,
    grainMin: 15,
    bufferBeforeMin: 0,
    bufferAfterMin: 0,
    noticeMin: 0,
    urgentMin: 0,
    urgentReleaseHours: 0,
    exceptions: [],
  }
}

const starts = (each: ClinicSession, from: string, to: string) =>
  expandSession(each, Temporal.Instant.from(from), Temporal.Instant.from(to), []).map(({ start }) => start)

describe.each(transitions.zones)('$zone', ({ zone, transitions: changes }) => {
  test('places wall times around each change as RFC 5545 3.3.5 says', () => {
    for (const { utc, localBefore, localAfter, from, to } of changes) {
      const instant = Temporal.Instant.from(utc).epochMilliseconds
      const offset = (text: string) =>
        Temporal.Instant.from('2026-01-01T00:00Z').epochMilliseconds -
        Temporal.Instant.from(`2026-01-01T00:00${text}`).epochMilliseconds
      const isGap = localBefore < localAfter
      const opens = (wall: Temporal.PlainDateTime) => {
        const at = Temporal.Instant.fromEpochMilliseconds(instant)
        return starts(
          session(zone, wall, null),
          at.subtract({ hours: 48 }).toString(),
          at.add({ hours: 48 }).toString(),
        )
      }
      const asUtc = (wall: Temporal.PlainDateTime) => wall.toZonedDateTime('UTC').epochMilliseconds
      // Inside the gap, or inside the time that comes twice: the offset before the change counts.
      const inside = Temporal.PlainDateTime.from(isGap ? localBefore : localAfter).add({ minutes: 10 })
      expect(opens(inside)).toEqual([asUtc(inside) - offset(from)])
      const earlier = Temporal.PlainDateTime.from(isGap ? localBefore : localAfter).subtract({ minutes: 10 })
      expect(opens(earlier)).toEqual([asUtc(earlier) - offset(from)])
      const later = Temporal.PlainDateTime.from(isGap ? localAfter : localBefore).add({ minutes: 10 })
      expect(opens(later)).toEqual([asUtc(later) - offset(to)])
    }
  })

  test('opens at the same wall time every day of three years', () => {
    const daily = session(zone, Temporal.PlainDateTime.from('2026-01-01T09:00'), 'FREQ=DAILY')
    const found = starts(daily, '2026-01-03T00:00Z', '2029-01-01T00:00Z')
    const walls = new Set(
      found.map((at) => Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone).toPlainTime().toString()),
    )
    expect([...walls]).toEqual(['09:00:00'])
    const long = found.slice(1).filter((at, i) => at - found[i]! !== 86_400_000)
    expect(long).toHaveLength(changes.length)
  })
})

test.each(crosscheck.cases)(
  '$why: $rule in $timeZone',
  ({ timeZone, dtstart, rule, expectedLocal, expectedUtc, agreesOnInstants }) => {
    const wall = Temporal.PlainDateTime.from(dtstart)
    const found = starts(session(timeZone, wall, rule), '2026-01-01T00:00Z', '2037-01-01T00:00Z')
    const placed = expectedLocal.map((text) =>
      Temporal.PlainDateTime.from(text).toZonedDateTime(timeZone, { disambiguation: 'compatible' }),
    )
    expect(found).toEqual(placed.map(({ epochMilliseconds }) => epochMilliseconds))
    if (agreesOnInstants)
      expect(found).toEqual(expectedUtc.map((text) => Temporal.Instant.from(text).epochMilliseconds))
    else
      expect(found.map((at) => Temporal.Instant.fromEpochMilliseconds(at).toString())).toContain('2026-03-08T07:30:00Z')
  },
)

test('random rules open when rrule-temporal says, apart from wall times that do not exist', { timeout: 60_000 }, () => {
  const DAYS = ['MO', 'TU', 'WE', 'TH', 'FR', 'SA', 'SU']
  // January and February have no change in these zones, so that DTSTART always exists.
  const dates = fc.integer({ min: 0, max: 58 }).map((days) => Temporal.PlainDate.from('2026-01-01').add({ days }))
  // Most changes happen between one and three.
  const times = fc.oneof(
    fc.integer({ min: 4, max: 12 }).map((quarter) => quarter * 15),
    fc.integer({ min: 0, max: 95 }).map((quarter) => quarter * 15),
  )
  const rules = fc
    .tuple(
      dates,
      fc.integer({ min: 1, max: 4 }),
      fc.subarray(DAYS),
      fc.nat({ max: 4 }),
      fc.option(fc.integer({ min: 100, max: 900 })),
    )
    .map(([date, interval, more, shape, untilDays]) => {
      const own = DAYS[date.dayOfWeek - 1]!
      const nth = Math.ceil(date.day / 7)
      const until =
        untilDays === null ? '' : `;UNTIL=${date.add({ days: untilDays }).toString().replaceAll('-', '')}T070000Z`
      const parts = [
        'FREQ=DAILY',
        `FREQ=WEEKLY;BYDAY=${[...new Set([own, ...more])].join(',')}`,
        `FREQ=MONTHLY;BYMONTHDAY=${date.day}`,
        `FREQ=MONTHLY;BYDAY=${nth}${own}`,
        'FREQ=YEARLY',
      ]
      return { date, rule: `${parts[shape]};INTERVAL=${interval}${until}` }
    })
  let gaps = 0
  fc.assert(
    fc.property(
      fc.constantFrom(...transitions.zones.map(({ zone }) => zone)),
      rules,
      times,
      (zone, { date, rule }, minutes) => {
        const wall = date.toPlainDateTime().add({ minutes })
        const dtstart = wall.toZonedDateTime(zone)
        const theirs = new RRuleTemporal({ rruleString: rule, dtstart })
          .between(new Date('2026-01-01T00:00Z'), new Date('2028-12-30T00:00Z'), true)
          .map(({ epochMilliseconds }) => epochMilliseconds)
        const ours = starts(session(zone, wall, rule), '2025-12-31T00:00Z', '2028-12-30T00:00Z')
        const isShifted = (at: number) =>
          !Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone).toPlainTime().equals(wall.toPlainTime())
        gaps += ours.filter(isShifted).length
        expect(ours.filter((at) => !isShifted(at))).toEqual(theirs)
        for (const at of ours.filter(isShifted)) {
          const there = Temporal.Instant.fromEpochMilliseconds(at).toZonedDateTimeISO(zone)
          const meant = there.toPlainDate().toPlainDateTime(wall.toPlainTime())
          expect(() => meant.toZonedDateTime(zone, { disambiguation: 'reject' })).toThrow(RangeError)
          expect(meant.toZonedDateTime(zone, { disambiguation: 'compatible' }).epochMilliseconds).toBe(at)
        }
      },
    ),
    { seed: 2026, numRuns: 400 },
  )
  expect(gaps).toBeGreaterThan(10)
})

/**
 * Rules made to fall on a date, begun one to three rounds before it, and the first date of each. `luxon` knows no rule:
 * the date is given, and it says which instant the wall time is.
 */
const RULES_ONTO: readonly ((
  date: Temporal.PlainDate,
  rounds: number,
) => { first: Temporal.PlainDate; rule: string })[] = [
  (date, rounds) => ({ first: date.subtract({ days: 3 * rounds }), rule: 'FREQ=DAILY;INTERVAL=3' }),
  (date, rounds) => ({
    first: date.subtract({ weeks: 2 * rounds }),
    rule: `FREQ=WEEKLY;INTERVAL=2;BYDAY=${DAY_CODES[date.dayOfWeek - 1]}`,
  }),
  (date, rounds) => ({
    // A month that lacks the day is left out by the rule, and so never begun in.
    first: date.subtract({ months: 12 * rounds }),
    rule: `FREQ=MONTHLY;BYMONTHDAY=${date.day}`,
  }),
  (date, rounds) => {
    const nth = Math.ceil(date.day / 7)
    return {
      first: nthWeekday(date.subtract({ years: rounds }), nth, date.dayOfWeek),
      rule: `FREQ=YEARLY;BYMONTH=${date.month};BYDAY=${nth}${DAY_CODES[date.dayOfWeek - 1]}`,
    }
  },
  (date) => ({ first: date, rule: 'FREQ=WEEKLY' }),
]
const DAY_CODES = ['MO', 'TU', 'WE', 'TH', 'FR', 'SA', 'SU']

function nthWeekday({ year, month }: Temporal.PlainDate, nth: number, weekday: number): Temporal.PlainDate {
  const first = Temporal.PlainDate.from({ year, month, day: 1 })
  return first.add({ days: ((weekday - first.dayOfWeek + 7) % 7) + 7 * (nth - 1) })
}

test.each(transitions.zones)(
  'on the day of every change in $zone, and on the days beside it, a session opens when luxon says',
  ({ zone, transitions: changes }) => {
    let gaps = 0
    let doubles = 0
    for (const { localBefore, localAfter } of changes) {
      const day = Temporal.PlainDateTime.from(localBefore).toPlainDate()
      const changesAt = Temporal.PlainDateTime.from([localBefore, localAfter].toSorted()[0]!)
      for (const date of [day.subtract({ days: 1 }), day, day.add({ days: 1 })]) {
        // Every ten minutes from two hours before the change to three after it, on each of the three dates.
        for (let minutes = -120; minutes <= 180; minutes += 10) {
          const at = date.toPlainDateTime(changesAt.toPlainTime()).add({ minutes })
          const { year, month, day: dayOfMonth, hour, minute } = at
          const there = DateTime.fromObject({ year, month, day: dayOfMonth, hour, minute }, { zone })
          // Where a wall time comes twice luxon names both instants; the first counts (RFC 5545 3.3.5).
          const both = there.getPossibleOffsets().map((each) => each.toMillis())
          const expected = Math.min(...both)
          if (both.length > 1) doubles += 1
          if (there.hour !== hour || there.minute !== minute) gaps += 1
          RULES_ONTO.forEach((onto, index) => {
            const { first, rule } = onto(at.toPlainDate(), 1 + (Math.abs(minutes) % 3))
            const opened = starts(
              session(zone, first.toPlainDateTime(at.toPlainTime()), rule),
              Temporal.Instant.fromEpochMilliseconds(expected).subtract({ hours: 2 }).toString(),
              Temporal.Instant.fromEpochMilliseconds(expected).add({ hours: 2 }).toString(),
            )
            expect(opened, `rule ${index} (${rule}) at ${at.toString()}`).toEqual([expected])
          })
        }
      }
    }
    // Zones that keep one offset have neither.
    expect([gaps > 0, doubles > 0]).toEqual([changes.length > 0, changes.length > 0])
  },
)
