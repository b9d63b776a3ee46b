/** A booked visit as the change loop looks at it: does it still fit what is known now? */
import { and, eq, gte, isNull, lte, or, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import type { Db } from '../client.ts'
import { licences, visits } from '../schema/index.ts'
import { changeVisit } from './visits.ts'

/** The referral's booked video visit, locked; null when none is, or when it has begun: then it is done as it was planned. */
export async function findBookedVideoForUpdate(tx: Db, clinicId: string, referralId: string) {
  const [row] = await bookedVideo(tx, clinicId, referralId).for('update')
  return row ? { ...row, plan: row.plan as ExamPlan | null } : null
}

/** The same, only looked at. */
export async function findBookedVideo(db: Db, clinicId: string, referralId: string) {
  const [row] = await bookedVideo(db, clinicId, referralId)
  return row ? { ...row, plan: row.plan as ExamPlan | null } : null
}

function bookedVideo(db: Db, clinicId: string, referralId: string) {
  return db
    .select({
      id: visits.id,
      clinicianId: visits.clinicianId,
      startsAt: visits.startsAt,
      endsAt: visits.endsAt,
      plan: visits.plan,
      patientTimeZone: visits.patientTimeZone,
      placeState: visits.placeState,
      calendarSequence: visits.calendarSequence,
    })
    .from(visits)
    .where(
      and(
        eq(visits.clinicId, clinicId),
        eq(visits.referralId, referralId),
        eq(visits.status, 'booked'),
        eq(visits.mode, 'video'),
        sql`not exists (select 1 from visit_records r where r.clinic_id = ${visits.clinicId} and r.visit_id = ${visits.id})`,
      ),
    )
}

/** Whether the clinician may examine somebody who is in that state on that day. */
export async function hasLicence(
  db: Db,
  clinicId: string,
  clinicianId: string,
  state: string,
  day: string,
): Promise<boolean> {
  const [row] = await db
    .select({ id: licences.id })
    .from(licences)
    .where(
      and(
        eq(licences.clinicId, clinicId),
        eq(licences.clinicianId, clinicianId),
        eq(licences.state, state),
        lte(licences.validFrom, day),
        or(isNull(licences.validTo), gte(licences.validTo, day)),
      ),
    )
    .limit(1)
  return row !== undefined
}

/** What is to be done in the visit, and the place and screening it was worked out from. Times stay as they are. */
export async function replanVisit(
  tx: Db,
  clinicId: string,
  visitId: string,
  change: { plan: ExamPlan | null; assessmentId: string; placeState: string | null; at: Temporal.Instant },
): Promise<void> {
  const { at, ...set } = change
  await changeVisit(tx, clinicId, visitId, at, set)
}

/** Whether an in-person visit of the referral is booked: then a video visit beside it is an early look. */
export async function hasInPersonVisit(db: Db, clinicId: string, referralId: string): Promise<boolean> {
  const [row] = await db
    .select({ id: visits.id })
    .from(visits)
    .where(
      and(
        eq(visits.clinicId, clinicId),
        eq(visits.referralId, referralId),
        eq(visits.status, 'booked'),
        eq(visits.mode, 'in_person'),
      ),
    )
    .limit(1)
  return row !== undefined
}
