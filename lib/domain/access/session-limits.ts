/**
 * When does a signed-in browser stop being one? After a quarter of an hour in which nobody did anything, and after half a
 * day whatever was done: NIST SP 800-63B-4 AAL3 (idle at most 15 min, overall at most 12 h) and ASVS 5.0 7.3.1 and 7.3.2.
 * WCAG 2.2 SC 2.2.1 asks for a warning at least 20 s ahead that can be answered at least ten times.
 */
import { Temporal } from '#lib/base/time.ts'

export const STAFF_IDLE_MIN = 15
export const STAFF_ABSOLUTE_HOURS = 12
export const WARN_BEFORE_MIN = 2
/** Writing at each request would cost more than it tells. */
export const TOUCH_AFTER_SEC = 60

export type SessionTimes = {
  createdAt: Temporal.Instant
  lastSeenAt: Temporal.Instant
  endedAt: Temporal.Instant | null
}

/** When the session ends if nothing more is done. */
export function sessionEnd({ createdAt, lastSeenAt, endedAt }: SessionTimes): Temporal.Instant {
  const limits = [createdAt.add({ hours: STAFF_ABSOLUTE_HOURS }), lastSeenAt.add({ minutes: STAFF_IDLE_MIN })]
  if (endedAt) limits.push(endedAt)
  return limits.reduce((first, limit) => (Temporal.Instant.compare(limit, first) < 0 ? limit : first))
}
