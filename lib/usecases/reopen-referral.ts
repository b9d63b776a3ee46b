/**
 * A closed referral is taken up again: the patient came back, or it was closed by mistake. It is screened anew from what is
 * known, because time has passed, and what was still to be done when it was closed is to be done again.
 */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { findReferralForUpdate, updateReferral } from '#db/queries/referrals.ts'
import { listTasksOf } from '#db/queries/tasks.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { assessReferral } from './steps/assess-referral.ts'
import { openTask } from './steps/open-task.ts'

export const reopenReferralInput = z.object({ referralId: z.string(), because: z.string().trim().min(3).max(500) })
export type ReopenReferralInput = z.output<typeof reopenReferralInput>
export type ReopenedReferral = { referralId: string }
export type ReopenReferralError = { code: 'referral_not_found' }

/** Opens it again; one that is open already stays as it is. Its see-by time is the one it had. */
export async function reopenReferral(
  ctx: Ctx,
  { referralId, because }: ReopenReferralInput,
): Promise<Result<ReopenedReferral, ReopenReferralError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<ReopenedReferral, ReopenReferralError>(ctx, async (tx) => {
    const referral = await findReferralForUpdate(tx, clinicId, referralId)
    if (!referral || !may(ctx.actor, 'referral.close', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    if (referral.stage !== 'closed') return ok({ referralId })

    const stage = referral.conditionId === null ? 'received' : 'triaged'
    await updateReferral(tx, clinicId, referralId, { stage, closedBecause: null })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'referral.reopened',
      subject: referralId,
      referralId,
      before: { closedBecause: referral.closedBecause },
      after: { because },
    })
    for (const { kind, dedupeKey, detail, dueAt } of await endedByClosing(ctx, tx, referralId, referral.closedBecause))
      await openTask(tx, ctx, { referralId, kind, dedupeKey, detail: detail as Record<string, string>, dueAt })
    await assessReferral(tx, ctx, referralId)
    return ok({ referralId })
  })
}

/** Closing ends every task with its own reason as the note. Whether there is a start in time is looked at anew. */
async function endedByClosing(ctx: Ctx, tx: Ctx['db'], referralId: string, because: string | null) {
  const tasks = await listTasksOf(tx, ctx.actor.clinicId, referralId)
  return tasks.filter(({ doneNote, kind }) => doneNote === because && kind !== 'see_by_breach')
}
