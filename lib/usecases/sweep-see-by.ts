/** Puts every referral that waits for a visit on the queue to be looked at again: the world moves on without telling us. */
import { listAwaitingStart } from '#db/queries/referrals.ts'
import { ok, type Result } from '#lib/base/result.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export type SweptSeeBy = { referrals: number }

/** Of every clinic of the installation: each is then looked at as the system of its own clinic. */
export async function sweepSeeBy(ctx: Pick<Ctx, 'db' | 'queue'>): Promise<Result<SweptSeeBy, never>> {
  return inTransaction<SweptSeeBy, never>(ctx, async (tx) => {
    const waiting = await listAwaitingStart(tx)
    for (const job of waiting) await ctx.queue.enqueueSeeByWatch(tx, job)
    return ok({ referrals: waiting.length })
  })
}
