/**
 * "My helper can't come": the patient's own word, or the coordinator's on the
 * phone. Everything that needed a helper leaves the plan at once, the packet says
 * so, and the coordinator gets a task with what can be done about it.
 */
import { z } from 'zod'
import { upsertAnswers } from '#db/queries/answers.ts'
import { findReferralToScreen } from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findBookedVideoForUpdate } from '#db/queries/booked-visit.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { insertMark } from '#db/queries/readiness.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { assessReferral } from './steps/assess-referral.ts'
import { openTask } from './steps/open-task.ts'
import { refitVisit } from './steps/refit-visit.ts'

export const reportHelperLostInput = z.object({ referralId: z.string() })
export type ReportHelperLostInput = z.output<typeof reportHelperLostInput>

export type ReportedHelperLost = { visitId: string | null }
export type ReportHelperLostError = { code: 'referral_not_found' } | { code: 'not_triaged' }

/** Saying it twice is harmless. */
export async function reportHelperLost(
  ctx: Ctx,
  { referralId }: ReportHelperLostInput,
): Promise<Result<ReportedHelperLost, ReportHelperLostError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<ReportedHelperLost, ReportHelperLostError>(ctx, async (tx) => {
    const referral = await findReferralToScreen(tx, clinicId, referralId)
    if (!referral || !may(ctx.actor, 'change.report', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    if (referral.protocolId === null || referral.protocolVersion === null) return err({ code: 'not_triaged' })
    const protocol = await getProtocol(tx, clinicId, referral.protocolId, referral.protocolVersion)

    const source = ctx.actor.kind === 'patient' ? 'patient' : 'coordinator'
    const by = { clinicId, referralId, source, answeredBy: ctx.actor.id, answeredAt: now } as const
    const change = await upsertAnswers(tx, by, { [protocol.helperFact]: false })
    const visit = await findBookedVideoForUpdate(tx, clinicId, referralId)
    if (visit?.plan?.helperWindow) {
      await insertMark(tx, {
        id: ctx.newId('mrk'),
        actor: ctx.actor,
        visitId: visit.id,
        item: 'helper',
        state: 'withdrawn',
        at: now,
        forStartsAt: visit.startsAt,
      })
    }
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'change.helper_lost',
      subject: visit?.id ?? referralId,
      referralId,
      ...change,
    })
    await assessReferral(tx, ctx, referralId)
    await refitVisit(tx, ctx, referralId)
    if (visit) {
      // Even where the shorter visit fits, a person may find a better time or another helper.
      await openTask(tx, ctx, {
        referralId,
        kind: 'replan',
        dedupeKey: `helper_lost:${visit.id}`,
        detail: { visitId: visit.id, reasons: ['helper_lost'] },
        dueAt: visit.startsAt,
      })
    }
    return ok({ visitId: visit?.id ?? null })
  })
}
