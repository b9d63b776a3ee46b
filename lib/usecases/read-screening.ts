/**
 * One referral's screening as staff read it: the engine's answer with its reasons, a person's beside it, the exam plan,
 * and how it came to that. The engine's own answer is never left out.
 */

import { effectiveDisposition, findNewestAssessment, listAssessments } from '#db/queries/assessments.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findPatientOfReferral } from '#db/queries/patients.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { staffNames } from '#db/queries/referrals.ts'
import { fullName } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Stage } from '#lib/domain/desk/stages.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import type { Protocol, Side } from '#lib/domain/protocol/schema.ts'
import type { Disposition, Screening } from '#lib/domain/screening/screening.ts'
import type { Ctx } from './context.ts'

/** A person's decision, in their words. */
export type Overruling = { to: Disposition; because: string; byName: string }

export type ScreeningPage = {
  patientName: string
  timeZone: string
  stage: Stage
  isStopped: boolean
  side: Side
  seeBy: string | null
  protocol: Protocol
  /** What the clinic's minutes of a visit rest on. */
  visitSource: string
  assessment: { id: string; at: string; screening: Screening; plan: ExamPlan | null }
  /** The one that counts. */
  disposition: Disposition
  overruled: Overruling | null
  /** Newest first, this one included. */
  history: { id: string; at: string; engine: Disposition; overruled: Overruling | null }[]
  may: { overrule: boolean; answer: boolean; book: boolean }
}
export type ReadScreeningError =
  | { code: 'referral_not_found' }
  /** It was not triaged, so there is nothing to screen against. */
  | { code: 'not_screened'; patientName: string }

export async function readScreening(
  ctx: Ctx,
  { referralId }: { referralId: string },
): Promise<Result<ScreeningPage, ReadScreeningError>> {
  const { clinicId } = ctx.actor
  const { db } = ctx
  if (!may(ctx.actor, 'screening.read', { clinicId, referralId })) return err({ code: 'referral_not_found' })
  const row = await findPatientOfReferral(db, clinicId, referralId)
  if (!row) return err({ code: 'referral_not_found' })
  const patientName = fullName(row.patient)
  const assessment = await findNewestAssessment(db, clinicId, referralId)
  if (!assessment) return err({ code: 'not_screened', patientName })

  const { id, at, screening, plan } = assessment
  const clinic = await getClinic(db, clinicId)
  const protocol = await getProtocol(db, clinicId, screening.protocolId, screening.protocolVersion)
  const past = await listAssessments(db, clinicId, referralId)
  const names = await staffNames(
    db,
    clinicId,
    past.flatMap(({ overruled }) => overruled?.by ?? []),
  )
  const named = (overruled: (typeof past)[number]['overruled']): Overruling | null =>
    overruled && { to: overruled.to, because: overruled.because, byName: names.get(overruled.by) ?? 'Somebody' }
  return ok({
    patientName,
    timeZone: clinic.timeZone,
    stage: row.referral.stage,
    isStopped: row.referral.isStopped,
    side: screening.side,
    seeBy: row.referral.seeBy?.toString() ?? null,
    protocol,
    visitSource: clinic.policy.visit.source,
    assessment: { id, at: at.toString(), screening, plan },
    disposition: effectiveDisposition(assessment),
    overruled: named(assessment.overruled),
    history: past.map((one) => ({
      id: one.id,
      at: one.at.toString(),
      engine: one.disposition,
      overruled: named(one.overruled),
    })),
    may: {
      overrule: may(ctx.actor, 'screening.overrule', { clinicId, referralId }),
      answer: may(ctx.actor, 'check.answer', { clinicId, referralId }),
      book: may(ctx.actor, 'visit.book', { clinicId, referralId }),
    },
  })
}
