/** Does a session still stand in the way of giving up its place? One that has ended does not. */
import type { KeptSession } from '#db/queries/sessions.ts'
import type { Temporal } from '#lib/base/time.ts'
import { nextDates } from '#lib/domain/calendar/next-dates.ts'

export function isStillKept({ status, session }: KeptSession, now: Temporal.Instant): boolean {
  return status !== 'ended' && nextDates(session, now.epochMilliseconds, new Map(), 1).length > 0
}
