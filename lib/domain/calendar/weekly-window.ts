/** When in a week can a person? Windows on the wall in their own zone, laid over the days of a range. */
import { type Interval, merge, type Timeline } from './interval.ts'
import { DAY_MS, toInstant, toWall, wallOfTime, weekdayOfWall, type ZoneClock } from './zone-clock.ts'

/** Weekday 1 = Monday to 7 = Sunday; `to` at or before `from` ends on the next day; '24:00' is midnight. */
export type WeeklyWindow = { weekday: number; from: string; to: string }

/** The windows of every day that touches [from, to). */
export function windowsBetween(windows: readonly WeeklyWindow[], clock: ZoneClock, from: number, to: number): Timeline {
  const spans: Interval[] = []
  const lastDay = Math.floor(toWall(clock, to) / DAY_MS)
  for (let day = Math.floor(toWall(clock, from) / DAY_MS) - 1; day <= lastDay; day += 1) {
    for (const window of windows) {
      if (window.weekday !== weekdayOfWall(day * DAY_MS)) continue
      const opens = day * DAY_MS + wallOfTime(window.from)
      const closes = day * DAY_MS + wallOfTime(window.to)
      spans.push({ start: toInstant(clock, opens), end: toInstant(clock, closes > opens ? closes : closes + DAY_MS) })
    }
  }
  return merge(spans)
}
