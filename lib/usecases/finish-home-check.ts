/** The home check is complete: screen, decide, and stop the reminders that chased it. */
import { asAnswers, listAnswers } from '#db/queries/answers.ts'
import { effectiveDisposition, findReferralToScreen } from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findHomeCheck, saveHomeCheck } from '#db/queries/home-checks.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { markTasksDone } from '#db/queries/tasks.ts'
import { invariant } from '#lib/base/invariant.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { knownFacts } from '#lib/domain/protocol/need.ts'
import { isVideoRuledOut, nextQuestion } from '#lib/domain/screening/home-check.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { openDetail } from './read-home-check.ts'
import { assessReferral } from './steps/assess-referral.ts'
import { refitVisit } from './steps/refit-visit.ts'

export type FinishedHomeCheck = { disposition: Disposition }
export type FinishHomeCheckError =
  | { code: 'referral_not_found' }
  | { code: 'not_triaged' }
  | { code: 'check_closed' }
  /** An emergency call comes first; nothing else goes on. */
  | { code: 'stopped' }
  /** Fact id or detail step that is still open. */
  | { code: 'still_open'; step: string }

/** Finishing twice is harmless: it screens what is known now. */
export async function finishHomeCheck(
  ctx: Ctx,
  { referralId }: { referralId: string },
): Promise<Result<FinishedHomeCheck, FinishHomeCheckError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<FinishedHomeCheck, FinishHomeCheckError>(ctx, async (tx) => {
    const referral = await findReferralToScreen(tx, clinicId, referralId)
    if (!referral || !may(ctx.actor, 'check.answer', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    if (referral.stage === 'closed') return err({ code: 'check_closed' })
    if (referral.isStopped) return err({ code: 'stopped' })
    if (referral.protocolId === null || referral.protocolVersion === null || referral.conditionId === null)
      return err({ code: 'not_triaged' })

    const protocol = await getProtocol(tx, clinicId, referral.protocolId, referral.protocolVersion)
    const answers = asAnswers(await listAnswers(tx, clinicId, referralId))
    const check = await findHomeCheck(tx, clinicId, referralId)
    const open =
      nextQuestion(protocol, answers, referral.conditionId)?.id ??
      openDetail(check, !isVideoRuledOut(protocol, knownFacts(answers)))
    if (open !== null) return err({ code: 'still_open', step: open })

    await saveHomeCheck(tx, clinicId, referralId, { finishedAt: now })
    await markTasksDone(tx, clinicId, referralId, { at: now, by: ctx.actor.id, note: null }, 'phone_home_check')
    const assessment = await assessReferral(tx, ctx, referralId)
    invariant(assessment, 'a triaged referral can be screened')
    await refitVisit(tx, ctx, referralId)
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'check.finished',
      subject: referralId,
      referralId,
      after: { disposition: effectiveDisposition(assessment) },
    })
    return ok({ disposition: effectiveDisposition(assessment) })
  })
}
