/** Screenings as they were made, and what one needs to be made. */
import { and, desc, eq, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Stage } from '#lib/domain/desk/stages.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import type { Disposition, Screening } from '#lib/domain/screening/screening.ts'
import type { Db } from '../client.ts'
import { assessments, patients, referrals } from '../schema/index.ts'

export type Assessment = {
  id: string
  at: Temporal.Instant
  disposition: Disposition
  screening: Screening
  plan: ExamPlan | null
  overruled: { to: Disposition; because: string; by: string } | null
}

/** The answer that counts: a person's where a person overruled. */
export function effectiveDisposition(assessment: Pick<Assessment, 'disposition' | 'overruled'>): Disposition {
  return assessment.overruled?.to ?? assessment.disposition
}

export async function findNewestAssessment(db: Db, clinicId: string, referralId: string): Promise<Assessment | null> {
  const [row] = await db
    .select()
    .from(assessments)
    .where(and(eq(assessments.clinicId, clinicId), eq(assessments.referralId, referralId)))
    .orderBy(desc(assessments.at), desc(assessments.id))
    .limit(1)
  if (!row) return null
  const { id, at, disposition, screening, plan, overruledTo: to, overruledBecause: because, overruledBy: by } = row
  const overruled = overrulingIn({ to, because, by })
  // Written by `insertAssessment` alone, from these very types.
  return { id, at, disposition, screening: screening as Screening, plan: plan as ExamPlan | null, overruled }
}

/**
 * When a new assessment is dated. Time of a referral's assessments only rises, because the newest is the one that counts:
 * a command that waited for another's lock read its clock before it.
 */
export function datedAfter(before: Pick<Assessment, 'at'> | null, now: Temporal.Instant): Temporal.Instant {
  if (before === null) return now
  const next = before.at.add({ milliseconds: 1 })
  return next.epochNanoseconds > now.epochNanoseconds ? next : now
}

/** The caller has locked the referral, read its newest assessment and dated this one after it. */
export async function insertAssessment(tx: Db, clinicId: string, referralId: string, row: Assessment): Promise<void> {
  await tx.insert(assessments).values({
    clinicId,
    referralId,
    id: row.id,
    at: row.at,
    disposition: row.disposition,
    screening: row.screening,
    plan: row.plan,
    overruledTo: row.overruled?.to ?? null,
    overruledBecause: row.overruled?.because ?? null,
    overruledBy: row.overruled?.by ?? null,
  })
}

/** The referral as screening reads it, locked: two screenings of one referral wait for each other. */
export async function findReferralToScreen(tx: Db, clinicId: string, referralId: string) {
  const [row] = await tx
    .select({
      id: referrals.id,
      patientId: referrals.patientId,
      stage: referrals.stage,
      priority: referrals.priority,
      receivedAt: referrals.receivedAt,
      protocolId: referrals.protocolId,
      protocolVersion: referrals.protocolVersion,
      conditionId: referrals.conditionId,
      side: referrals.side,
      seeBy: referrals.seeBy,
      isStopped: referrals.isStopped,
      birthDate: patients.birthDate,
    })
    .from(referrals)
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .where(and(eq(referrals.clinicId, clinicId), eq(referrals.id, referralId)))
    .for('update', { of: referrals })
  return row ?? null
}

export type ScreenedReferral = { stage: Stage; seeBy: Temporal.Instant; isStopped: boolean }

export async function settleReferral(
  tx: Db,
  clinicId: string,
  referralId: string,
  set: ScreenedReferral,
): Promise<void> {
  await tx
    .update(referrals)
    .set({ ...set, version: sql`${referrals.version} + 1` })
    .where(and(eq(referrals.clinicId, clinicId), eq(referrals.id, referralId)))
}

/** Every screening of a referral, newest first: the engine's answers and, beside them, people's. */
export async function listAssessments(
  db: Db,
  clinicId: string,
  referralId: string,
): Promise<Pick<Assessment, 'id' | 'at' | 'disposition' | 'overruled'>[]> {
  const rows = await db
    .select({
      id: assessments.id,
      at: assessments.at,
      disposition: assessments.disposition,
      to: assessments.overruledTo,
      because: assessments.overruledBecause,
      by: assessments.overruledBy,
    })
    .from(assessments)
    .where(and(eq(assessments.clinicId, clinicId), eq(assessments.referralId, referralId)))
    .orderBy(desc(assessments.at), desc(assessments.id))
  return rows.map(({ id, at, disposition, ...person }) => ({ id, at, disposition, overruled: overrulingIn(person) }))
}

function overrulingIn(row: {
  to: Disposition | null
  because: string | null
  by: string | null
}): Assessment['overruled'] {
  const { to, because, by } = row
  return to !== null && because !== null && by !== null ? { to, because, by } : null
}
