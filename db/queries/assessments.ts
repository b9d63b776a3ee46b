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
  const { id, at, disposition, screening, plan, overruledTo, overruledBecause, overruledBy } = row
  const overruled =
    overruledTo !== null && overruledBecause !== null && overruledBy !== null
      ? { to: overruledTo, because: overruledBecause, by: overruledBy }
      : null
  // Written by `insertAssessment` alone, from these very types.
  return { id, at, disposition, screening: screening as Screening, plan: plan as ExamPlan | null, overruled }
}

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
