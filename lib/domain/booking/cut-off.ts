/** Until when may a patient move or cancel without calling? After that a freed start can hardly be given to anybody else. */
import { Temporal } from '#lib/base/time.ts'
import type { ClinicPolicy } from '../policy/clinic-policy.ts'

/** The last instant at which a patient may change a visit by themselves. */
export function cutOffOf(startsAt: Temporal.Instant, policy: ClinicPolicy): Temporal.Instant {
  return startsAt.subtract({ hours: policy.booking.patientCutOffHours })
}

/** Whether the cut-off has passed. */
export function isPastCutOff(startsAt: Temporal.Instant, policy: ClinicPolicy, now: Temporal.Instant): boolean {
  return Temporal.Instant.compare(now, cutOffOf(startsAt, policy)) > 0
}
