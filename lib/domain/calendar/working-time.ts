/**
 * How much of the clinic's working time lies between two moments? Working time is the clinic's day, from its opening to
 * its closing on the wall of its own zone, on Mondays to Fridays that are no holiday. The hours that a session keeps
 * starts for urgent visits are counted in it: hours of a weekend, in which nobody could refer anybody, do not let them go.
 */
import {
  DAY_MS,
  dateOfWall,
  MINUTE_MS,
  toInstant,
  toWall,
  wallOfDate,
  wallOfTime,
  weekdayOfWall,
  type ZoneClock,
} from './zone-clock.ts'

/** The clinic's day, HH:MM to HH:MM on its wall. */
export type WorkingHours = { timeZone: string; opensAt: string; closesAt: string }

/**
 * The last instant that no more than so many working hours part from `from`; Infinity when that is at or after `limit`.
 * Where the hours are used up at closing time that is the next opening, because no working time lies between the two.
 */
export function afterWorkingHours(
  from: number,
  hours: number,
  day: WorkingHours,
  clock: ZoneClock,
  holidays: ReadonlySet<string>,
  limit: number,
): number {
  let left = hours * 60 * MINUTE_MS
  for (let wall = wallOfDate(dateOfWall(toWall(clock, from))); toInstant(clock, wall) < limit; wall += DAY_MS) {
    if (weekdayOfWall(wall) > 5 || holidays.has(dateOfWall(wall))) continue
    const opens = Math.max(from, toInstant(clock, wall + wallOfTime(day.opensAt)))
    const closes = toInstant(clock, wall + wallOfTime(day.closesAt))
    if (opens >= closes) continue
    if (left < closes - opens) return opens + left
    left -= closes - opens
  }
  return Number.POSITIVE_INFINITY
}
