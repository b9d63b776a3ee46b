/**
 * On which dates does a session open next, and what is different about each? A rule is hard to read; its next dates are
 * not. Dates that are closed are listed too, with why, because a gap in a list is read over.
 */
import type { ClinicSession, SessionException } from './session.ts'
import { openingWalls } from './session.ts'
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

export type DateNote =
  | { code: 'closed' }
  | { code: 'holiday'; name: string }
  /** An exception opens it although the clinic is closed. */
  | { code: 'open_on_holiday'; name: string }
  | { code: 'moved'; fromDate: string }
  | { code: 'shortened' }
  /** The clocks changed since the date before; `onDate` is the day they did. */
  | { code: 'clocks_forward' | 'clocks_back'; onDate: string }
  /** The wall time doesn't exist that day, so it opens later (RFC 5545 3.3.5). */
  | { code: 'time_skipped'; meant: string }
  /** The wall time comes twice that day; the first counts. */
  | { code: 'time_twice' }

export type SessionDate = {
  /** The date by the rule. */
  onDate: string
  isOpen: boolean
  /** Where it is open; as it would have been where it is closed. Date and clock on the wall of the session's zone. */
  date: string
  opensAt: string
  closesAt: string
  /** Instants (epoch milliseconds). */
  start: number
  end: number
  notes: DateNote[]
}

/** Rare rules are looked for further and further ahead, in days. */
const REACHES = [16, 100, 800, 4_000, 15_000]

/** The next dates by the rule that are not over at `now` (epoch milliseconds). `holidays`: names by date. */
export function nextDates(
  session: ClinicSession,
  now: number,
  holidays: ReadonlyMap<string, string>,
  count: number,
): SessionDate[] {
  const begin = Math.max(now, wallOfDate(session.startsOn) - 2 * DAY_MS)
  // A date that is past by the rule may have been moved to one that is not.
  const movedOn = session.exceptions.flatMap((each) =>
    each.kind === 'moved' && wallOfDate(each.toDate) > now - 2 * DAY_MS ? [wallOfDate(each.onDate)] : [],
  )
  const earliest = Math.min(begin - 2 * DAY_MS, ...movedOn)
  let dates: SessionDate[] = []
  for (const days of REACHES) {
    const end = begin + days * DAY_MS
    const clock = zoneClock(session.timeZone, earliest - 5 * DAY_MS, end + 5 * DAY_MS)
    dates = openingWalls(session, clock, earliest, toWall(clock, end))
      .map((wall) => dateAt(session, clock, wall, holidays))
      .filter((date) => date.end > now)
      .sort((a, b) => a.start - b.start)
      .slice(0, count)
    if (dates.length === count) {
      addClockChanges(dates, clock, now)
      return dates
    }
  }
  addClockChanges(dates, zoneClock(session.timeZone, earliest - 5 * DAY_MS, begin + 15_000 * DAY_MS), now)
  return dates
}

function dateAt(
  session: ClinicSession,
  clock: ZoneClock,
  wall: number,
  holidays: ReadonlyMap<string, string>,
): SessionDate {
  const onDate = dateOfWall(wall)
  const exception = session.exceptions.find((each) => each.onDate === onDate)
  const holiday = holidays.get(onDate)
  const times = exception && exception.kind !== 'closed' ? exception : session
  const date = exception?.kind === 'moved' ? exception.toDate : onDate
  const meant = wallOfDate(date) + wallOfTime(times.opensAt)
  const start = toInstant(clock, meant)
  const end = start + times.durationMin * MINUTE_MS
  const notes: DateNote[] = [...exceptionNotes(exception), ...holidayNotes(exception, holiday)]
  const opens = toWall(clock, start)
  if (opens !== meant) notes.push({ code: 'time_skipped', meant: times.opensAt })
  else if (isTwice(clock, start, meant)) notes.push({ code: 'time_twice' })
  const isOpen = exception ? exception.kind !== 'closed' : holiday === undefined
  return {
    onDate,
    isOpen,
    date: dateOfWall(opens),
    opensAt: timeOfWall(opens),
    closesAt: timeOfWall(toWall(clock, end)),
    start,
    end,
    notes,
  }
}

function exceptionNotes(exception: SessionException | undefined): DateNote[] {
  switch (exception?.kind) {
    case 'closed':
      return [{ code: 'closed' }]
    case 'moved':
      return [{ code: 'moved', fromDate: exception.onDate }]
    case 'shortened':
      return [{ code: 'shortened' }]
    case undefined:
      return []
  }
}

function holidayNotes(exception: SessionException | undefined, name: string | undefined): DateNote[] {
  if (name === undefined || exception?.kind === 'closed') return []
  return [{ code: exception ? 'open_on_holiday' : 'holiday', name }]
}

/** Whether the same wall time comes again when the clocks go back. */
function isTwice(clock: ZoneClock, start: number, wall: number): boolean {
  return clock.changes.some((at, i) => {
    const back = (clock.offsets[i] as number) - (clock.offsets[i + 1] as number)
    return back > 0 && start < at && start >= at - back && toWall(clock, start + back) === wall
  })
}

/** Said at the first date after a change: by then everybody wonders whether the time has moved. */
function addClockChanges(dates: readonly SessionDate[], clock: ZoneClock, now: number): void {
  let before = now
  for (const date of dates) {
    clock.changes.forEach((at, i) => {
      if (at <= before || at > date.end) return
      const isForward = (clock.offsets[i + 1] as number) > (clock.offsets[i] as number)
      date.notes.push({
        code: isForward ? 'clocks_forward' : 'clocks_back',
        onDate: dateOfWall(toWall(clock, at - 1)),
      })
    })
    before = Math.max(before, date.end)
  }
}

/** HH:MM of a wall time. */
export function timeOfWall(wall: number): string {
  return new Date(wall).toISOString().slice(11, 16)
}
