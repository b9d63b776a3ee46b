/** Which visits a learning page speaks of: the period in the clinic's own days, and whose. */
import type { Clinic } from '#db/queries/clinics.ts'
import type { LearningScope } from '#db/queries/learning.ts'
import { Temporal } from '#lib/base/time.ts'
import { type Period, type PeriodFault, periodOf } from '#lib/domain/learning/period.ts'

type Asked = { from: string | null; to: string | null; clinicianId: string | null; conditionId: string | null }

export function learningScope(
  { id: clinicId, timeZone }: Clinic,
  { clinicianId, conditionId, ...asked }: Asked,
  now: Temporal.Instant,
): { scope: LearningScope; period: Period; fault: PeriodFault | null } {
  const { period, fault } = periodOf(asked, now.toZonedDateTimeISO(timeZone).toPlainDate())
  const startOf = (date: Temporal.PlainDate) => date.toZonedDateTime(timeZone).toInstant()
  const from = startOf(Temporal.PlainDate.from(period.from))
  const to = startOf(Temporal.PlainDate.from(period.to).add({ days: 1 }))
  return { scope: { clinicId, timeZone, from, to, clinicianId, conditionId }, period, fault }
}
