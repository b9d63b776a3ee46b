import fc from 'fast-check'
import { expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { DAY_MS, toInstant, toWall, weekdayOfWall, zoneClock } from '#lib/domain/calendar/zone-clock.ts'
import { zones } from '#tests/reference/data/dst-2026-2028.json'

const from = Date.UTC(2026, 0, 1)
const to = Date.UTC(2029, 0, 1)
const clocks = zones.map(({ zone }) => zoneClock(zone, from, to))
/** Half of the moments lie within four hours of a change. */
const moments = fc.oneof(
  fc.integer({ min: from - 400 * DAY_MS, max: to + 400 * DAY_MS }),
  fc
    .tuple(fc.constantFrom(...clocks.flatMap(({ changes }) => changes)), fc.integer({ min: -15_000, max: 15_000 }))
    .map(([change, seconds]) => change + seconds * 1000),
)

test('answers as Temporal does in every zone, around every change of the clocks, in the range and outside', () => {
  fc.assert(
    fc.property(fc.constantFrom(...clocks), moments, (clock, moment) => {
      const zoned = Temporal.Instant.fromEpochMilliseconds(moment).toZonedDateTimeISO(clock.timeZone)
      const asUtc = zoned.toPlainDateTime().toZonedDateTime('UTC')
      expect(toWall(clock, moment)).toBe(asUtc.epochMilliseconds)
      expect(weekdayOfWall(toWall(clock, moment))).toBe(zoned.dayOfWeek)

      const wall = Temporal.Instant.fromEpochMilliseconds(moment).toZonedDateTimeISO('UTC').toPlainDateTime()
      const placed = wall.toZonedDateTime(clock.timeZone, { disambiguation: 'compatible' })
      expect(toInstant(clock, moment)).toBe(placed.epochMilliseconds)
    }),
    { seed: 335, numRuns: 3000 },
  )
})
