/**
 * Somebody did what the desk asked and writes down what came of it. An emergency
 * call lets the referral go on again; the answer that raised the flag stands, and
 * with it the advice, until answers change or a person overrules.
 */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { findReferralForUpdate, updateReferral } from '#db/queries/referrals.ts'
import { findTask, listOpenTasksOf, markTaskDone } from '#db/queries/tasks.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { TaskKind } from '#lib/domain/desk/stages.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

/** `note`: what was said or done. A tick without words is no record of a call. */
export const acknowledgeTaskInput = z.object({ taskId: z.string(), note: z.string().trim().min(3).max(2000) })
export type AcknowledgeTaskInput = z.output<typeof acknowledgeTaskInput>
export type AcknowledgedTask = { referralId: string; kind: TaskKind; isStopped: boolean }
export type AcknowledgeTaskError = { code: 'task_not_found' } | { code: 'is_a_decision' }

/** Ends a task with a note. Ending one that is done already changes nothing. */
export async function acknowledgeTask(
  ctx: Ctx,
  { taskId, note }: AcknowledgeTaskInput,
): Promise<Result<AcknowledgedTask, AcknowledgeTaskError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<AcknowledgedTask, AcknowledgeTaskError>(ctx, async (tx) => {
    const named = await findTask(tx, clinicId, taskId)
    if (!named || !may(ctx.actor, 'task.acknowledge', { clinicId, referralId: named.referralId }))
      return err({ code: 'task_not_found' })
    // "Same person?" is answered by deciding it.
    if (named.kind === 'match') return err({ code: 'is_a_decision' })
    const { referralId, kind } = named
    const referral = await findReferralForUpdate(tx, clinicId, referralId)
    const task = await findTask(tx, clinicId, taskId)
    if (!referral || !task) return err({ code: 'task_not_found' })
    if (task.doneAt !== null) return ok({ referralId, kind, isStopped: referral.isStopped })

    await markTaskDone(tx, clinicId, taskId, { at: now, by: ctx.actor.id, note })
    const open = await listOpenTasksOf(tx, clinicId, referralId)
    const isStopped =
      referral.isStopped && (kind !== 'emergency_call' || open.some((one) => one.kind === 'emergency_call'))
    if (isStopped !== referral.isStopped) await updateReferral(tx, clinicId, referralId, { isStopped })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'task.acknowledged',
      subject: taskId,
      referralId,
      before: { kind, isStopped: referral.isStopped },
      after: { kind, note, isStopped },
    })
    return ok({ referralId, kind, isStopped })
  })
}
