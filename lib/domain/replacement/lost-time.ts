/** What of a session is lost: one opening, or every opening from a date on. */
import type { Temporal } from '#lib/base/time.ts'
import { nextDates } from '../calendar/next-dates.ts'
import type { ClinicSession } from '../calendar/session.ts'
import { DAY_MS, dateOfWall, wallOfDate } from '../calendar/zone-clock.ts'

/** Dates by the session's rule (yyyy-mm-dd, in its own zone): an opening that was moved is named by the date it had. */
export type LostTime = { kind: 'opening'; onDate: string } | { kind: 'from'; fromDate: string }

/** The session without it; null = nothing of the session is left. */
export function withoutLost(session: ClinicSession, lost: LostTime): ClinicSession | null {
  if (lost.kind === 'opening') {
    const others = session.exceptions.filter(({ onDate }) => onDate !== lost.onDate)
    return { ...session, exceptions: [...others, { kind: 'closed', onDate: lost.onDate }] }
  }
  if (lost.fromDate <= session.startsOn) return null
  const validTo = dateOfWall(wallOfDate(lost.fromDate) - DAY_MS)
  return session.validTo !== null && session.validTo <= validTo ? session : { ...session, validTo }
}

/** The opening around a moment, by the date it has in the rule; null = the session is closed then. */
export function openingAt(session: ClinicSession, at: Temporal.Instant): LostTime | null {
  const moment = at.epochMilliseconds
  const around = nextDates(session, moment, new Map(), 40)
  const found = around.find(({ isOpen, start, end }) => isOpen && start <= moment && moment < end)
  return found ? { kind: 'opening', onDate: found.onDate } : null
}
