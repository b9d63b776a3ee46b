/**
 * The home check as it stands: the questions that still matter for this patient,
 * what was answered, and where to go on. The same for the patient on a phone and
 * the coordinator filling it in during a call.
 */
import { asAnswers, listAnswers } from '#db/queries/answers.ts'
import { effectiveDisposition, findNewestAssessment } from '#db/queries/assessments.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findHomeCheck, findHomeCheckCase, type HomeCheck } from '#db/queries/home-checks.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Stage } from '#lib/domain/desk/stages.ts'
import { type DetailStep, nextDetail } from '#lib/domain/home/details.ts'
import { type Answers, knownFacts } from '#lib/domain/protocol/need.ts'
import type { Fact, Protocol, RedFlag, Side } from '#lib/domain/protocol/schema.ts'
import { factsOf } from '#lib/domain/screening/facts-of.ts'
import { flagsRaised, isVideoRuledOut, questionsFor } from '#lib/domain/screening/home-check.ts'
import type { Disposition, Screening } from '#lib/domain/screening/screening.ts'
import type { Ctx } from './context.ts'

export type HomeCheckView = {
  referralId: string
  patient: {
    givenName: string
    familyName: string
    birthDate: string | null
    email: string | null
    phone: string | null
    state: string | null
    timeZone: string | null
    addressLine: string | null
    city: string | null
  }
  side: Side
  /** Of the clinic. */
  timeZone: string
  protocol: Protocol
  questions: Fact[]
  answers: Answers
  details: HomeCheck | null
  needsConsent: boolean
  /** Fact id or detail step to go on with; null = all is answered. */
  next: string | null
  raised: RedFlag[]
  /** An emergency flag stands, or a person has still to call about one: get help first, nothing else goes on. */
  isHelpNeeded: boolean
  stage: Stage
  isStopped: boolean
  isFinished: boolean
  disposition: Disposition | null
  screening: Screening | null
}
export type ReadHomeCheckError = { code: 'referral_not_found' } | { code: 'not_triaged' }

export async function readHomeCheck(
  ctx: Ctx,
  { referralId }: { referralId: string },
): Promise<Result<HomeCheckView, ReadHomeCheckError>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'check.answer', { clinicId, referralId })) return err({ code: 'referral_not_found' })
  const row = await findHomeCheckCase(ctx.db, clinicId, referralId)
  if (!row) return err({ code: 'referral_not_found' })
  const { protocolId, protocolVersion, conditionId, side } = row
  if (protocolId === null || protocolVersion === null || conditionId === null || side === null)
    return err({ code: 'not_triaged' })

  const protocol = await getProtocol(ctx.db, clinicId, protocolId, protocolVersion)
  const answers = asAnswers(await listAnswers(ctx.db, clinicId, referralId))
  const details = await findHomeCheck(ctx.db, clinicId, referralId)
  const assessment = await findNewestAssessment(ctx.db, clinicId, referralId)
  const { timeZone } = await getClinic(ctx.db, clinicId)
  const today = ctx.now().toZonedDateTimeISO(timeZone).toPlainDate()
  const needsConsent = !isVideoRuledOut(protocol, knownFacts(answers))
  const raised = flagsRaised(protocol, factsOf(answers, row.patient.birthDate, today))
  const questions = questionsFor(protocol, answers, conditionId)
  return ok({
    referralId,
    patient: row.patient,
    side,
    timeZone,
    protocol,
    questions,
    answers,
    details,
    needsConsent,
    next: questions.find((fact) => answers[fact.id] === undefined)?.id ?? openDetail(details, needsConsent),
    raised,
    isHelpNeeded: row.isStopped || raised.some(({ level }) => level === 'emergency'),
    stage: row.stage,
    isStopped: row.isStopped,
    isFinished: details?.finishedAt != null,
    disposition: assessment && effectiveDisposition(assessment),
    screening: assessment?.screening ?? null,
  })
}

/** The first detail that is still open. Who is not seen by video is not asked to agree to it. */
export function openDetail(details: HomeCheck | null, needsConsent: boolean): DetailStep | null {
  return nextDetail({
    placeAddress: details?.placeAddress ?? null,
    placeState: details?.placeState ?? null,
    timeZone: details?.timeZone ?? null,
    callbackPhone: details?.callbackPhone ?? null,
    contactName: details?.contactName ?? null,
    contactPhone: details?.contactPhone ?? null,
    timesAnswered: details?.timesAnsweredAt != null,
    consented: details?.consentedAt != null || !needsConsent,
  })
}
