/**
 * When is a clinician or an interpreter at work? A clinic session is an
 * RFC 5545 rule whose DTSTART is a wall time in the session's own zone, so that
 * a session at 09:00 stays at 09:00 when the clocks change. Its length is
 * elapsed time (RFC 5545 3.3.6: hours and minutes of a DURATION are exact).
 */
import type { Temporal } from '#lib/base/time.ts'
import type { Interval } from './interval.ts'
import { recurrences } from './recurrence.ts'
import {
  DAY_MS,
  dateOfWall,
  MINUTE_MS,
  toInstant,
  toWall,
  wallOfDate,
  wallOfTime,
  type ZoneClock,
  zoneClock,
} from './zone-clock.ts'

export type SessionOwner = { kind: 'clinician' | 'interpreter'; id: string }

/** One date of a session that differs from its rule. `onDate` is the date by the rule, in the session's zone. */
export type SessionException =
  | { kind: 'closed'; onDate: string }
  | { kind: 'moved'; onDate: string; toDate: string; opensAt: string; durationMin: number }
  | { kind: 'shortened'; onDate: string; opensAt: string; durationMin: number }

/** A recurring working period. */
export type ClinicSession = {
  id: string
  owner: SessionOwner
  mode: 'video' | 'in_person' | 'either'
  siteId: string | null
  /** A fixed room; null = any free room of the site, for visits in person. */
  roomId: string | null
  timeZone: string
  /** yyyy-mm-dd, the first date. */
  startsOn: string
  /** HH:MM on the wall. */
  opensAt: string
  durationMin: number
  /** RRULE value without DTSTART; null = once. */
  rule: string | null
  /** yyyy-mm-dd, the last date on which it may open; null = no end. */
  validTo: string | null
  /** Visits start on multiples of this, counted from the opening. */
  grainMin: number
  bufferBeforeMin: number
  bufferAfterMin: number
  noticeMin: number
  /** Minutes at the end of each opening that are kept for urgent visits; 0 = none. */
  urgentMin: number
  /** So many working hours before an opening its kept minutes become free for everybody. */
  urgentReleaseHours: number
  exceptions: readonly SessionException[]
}

/**
 * The openings of a session that touch [from, to), whole, sorted by start. A
 * holiday closes it unless an exception for that date says otherwise.
 */
export function expandSession(
  session: ClinicSession,
  from: Temporal.Instant,
  to: Temporal.Instant,
  holidays: readonly string[],
): Interval[] {
  const start = from.epochMilliseconds
  const end = to.epochMilliseconds
  const clock = zoneClock(session.timeZone, start - 5 * DAY_MS, end + 5 * DAY_MS)
  return openingsOf(session, clock, start, end, new Set(holidays))
}

/** As `expandSession`, with a zone clock that many sessions share. */
export function openingsOf(
  session: ClinicSession,
  clock: ZoneClock,
  from: number,
  to: number,
  holidays: ReadonlySet<string>,
): Interval[] {
  const exceptions = new Map(session.exceptions.map((exception) => [exception.onDate, exception]))
  const openings: Interval[] = []
  const open = (wall: number, durationMin: number) => {
    const start = toInstant(clock, wall)
    const end = start + durationMin * MINUTE_MS
    if (start < end && start < to && end > from) openings.push({ start, end })
  }

  // A gap may shift an opening by its own length, never by a day.
  const fromWall = toWall(clock, from) - session.durationMin * MINUTE_MS - DAY_MS
  for (const wall of openingWalls(session, clock, fromWall, toWall(clock, to) + DAY_MS)) {
    const date = dateOfWall(wall)
    const exception = exceptions.get(date)
    if (exception?.kind === 'shortened') open(wallOfDate(date) + wallOfTime(exception.opensAt), exception.durationMin)
    else if (!exception && !holidays.has(date)) open(wall, session.durationMin)
  }
  for (const exception of session.exceptions) {
    if (exception.kind !== 'moved') continue
    const day = wallOfDate(exception.onDate)
    const isInRule = openingWalls(session, clock, day, day + DAY_MS).length > 0
    if (isInRule) open(wallOfDate(exception.toDate) + wallOfTime(exception.opensAt), exception.durationMin)
  }
  return openings.sort((a, b) => a.start - b.start)
}

/** Wall times at which the session opens by its rule, in [fromWall, toWall). */
export function openingWalls(session: ClinicSession, clock: ZoneClock, fromWall: number, toWall: number): number[] {
  const first = wallOfDate(session.startsOn) + wallOfTime(session.opensAt)
  const last = session.validTo === null ? toWall : Math.min(toWall, wallOfDate(session.validTo) + DAY_MS)
  if (session.rule === null) return first >= fromWall && first < last ? [first] : []
  return recurrences(session.rule, first, clock, fromWall, last)
}
