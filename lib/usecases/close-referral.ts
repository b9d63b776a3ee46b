/** A referral is over without a visit, or after one: with the reason on file. What was to be sent about it is not sent. */
import { z } from 'zod'
import { findReferralForUpdate, listVisitsOf } from '#db/queries/referrals.ts'
import { listOpenTasksOf } from '#db/queries/tasks.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { endReferral } from './steps/end-referral.ts'

export const closeReferralInput = z.object({ referralId: z.string(), because: z.string().trim().min(3).max(500) })
export type CloseReferralInput = z.output<typeof closeReferralInput>
export type ClosedReferral = { referralId: string }
export type CloseReferralError =
  | { code: 'referral_not_found' }
  /** An emergency or a stop for safety that nobody has answered for is not over. */
  | { code: 'stopped' }
  | { code: 'has_visit' }

/** Closes a referral; one that is closed already stays as it is. */
export async function closeReferral(
  ctx: Ctx,
  { referralId, because }: CloseReferralInput,
): Promise<Result<ClosedReferral, CloseReferralError>> {
  const { clinicId } = ctx.actor
  return inTransaction<ClosedReferral, CloseReferralError>(ctx, async (tx) => {
    const referral = await findReferralForUpdate(tx, clinicId, referralId)
    if (!referral || !may(ctx.actor, 'referral.close', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    if (referral.stage === 'closed') return ok({ referralId })
    const open = await listOpenTasksOf(tx, clinicId, referralId)
    if (referral.isStopped || open.some(({ kind }) => kind === 'emergency_call' || kind === 'safety_stop'))
      return err({ code: 'stopped' })
    const visits = await listVisitsOf(tx, clinicId, referralId)
    if (visits.some(({ status }) => status === 'booked')) return err({ code: 'has_visit' })

    await endReferral(tx, ctx, referral, because)
    return ok({ referralId })
  })
}
