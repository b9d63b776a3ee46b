/**
 * Would one person have to be in two sessions at once? Rules are not compared but walked, date by date, because two rules
 * can meet only now and then: every other Tuesday and the first of the month, or two zones whose clocks change on
 * different Sundays. Holidays are left out of it: taking one off the list must not make two sessions meet.
 */
import { type ClinicSession, openingsOf } from './session.ts'
import { DAY_MS, dateOfWall, toWall, wallOfDate, zoneClock } from './zone-clock.ts'

/** The other session (or the same one, where a moved date falls onto its next), and the date in this one's own zone. */
export type Overlap = { sessionId: string; onDate: string }

/**
 * How far ahead, counted from the day on which the later of two sessions begins. Yearly rules meet within it if they
 * meet at all in two years running; patterns of weeks and months have met many times.
 */
const HORIZON_DAYS = 3 * 366

/** The first date on or after `from` (yyyy-mm-dd) on which `session` and one of the same person's others are both open. */
export function firstOverlap(session: ClinicSession, others: readonly ClinicSession[], from: string): Overlap | null {
  const found = [session, ...others].flatMap((other) => {
    const at = firstMeeting(session, other, from)
    return at === null ? [] : [{ sessionId: other.id, at }]
  })
  const [first] = found.sort((a, b) => a.at - b.at)
  if (!first) return null
  const clock = zoneClock(session.timeZone, first.at - DAY_MS, first.at + DAY_MS)
  return { sessionId: first.sessionId, onDate: dateOfWall(toWall(clock, first.at)) }
}

/** When the opening of `session` begins that meets one of `other`; null = they never meet. */
function firstMeeting(session: ClinicSession, other: ClinicSession, from: string): number | null {
  const begins = [from, session.startsOn, other.startsOn].map(wallOfDate)
  const start = Math.max(...begins) - DAY_MS
  const end = start + HORIZON_DAYS * DAY_MS
  const mine = expand(session, start, end)
  if (session === other) {
    for (let i = 1; i < mine.length; i += 1) {
      const [before, after] = [mine[i - 1], mine[i]]
      if (before && after && after.start < before.end) return after.start
    }
    return null
  }
  const theirs = expand(other, start, end)
  for (let i = 0, j = 0; ; ) {
    const [a, b] = [mine[i], theirs[j]]
    if (!a || !b) return null
    if (a.start < b.end && b.start < a.end) return a.start
    if (a.end <= b.end) i += 1
    else j += 1
  }
}

function expand(session: ClinicSession, start: number, end: number) {
  const clock = zoneClock(session.timeZone, start - 5 * DAY_MS, end + 5 * DAY_MS)
  return openingsOf(session, clock, start, end, new Set())
}
