/** Nobody answered in time: the start goes to the next one. A job; run twice, or after an answer, it does nothing. */
import { findBookingCase } from '#db/queries/booking-case.ts'
import { findOffer } from '#db/queries/standby.ts'
import { ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { settleOffer } from './steps/free-time.ts'

export type ExpiredOffer = { hasExpired: boolean }

export async function expireOffer(ctx: Ctx, { offerId }: { offerId: string }): Promise<Result<ExpiredOffer, never>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const seen = await findOffer(ctx.db, clinicId, offerId)
  if (!seen) return ok({ hasExpired: false })
  return inTransaction<ExpiredOffer, never>(ctx, async (tx) => {
    await findBookingCase(tx, clinicId, seen.referralId, { lock: true })
    const offer = await findOffer(tx, clinicId, offerId)
    const isOver = offer?.outcome === null && Temporal.Instant.compare(offer.expiresAt, now) <= 0
    if (isOver) await settleOffer(tx, ctx, offer, 'expired')
    return ok({ hasExpired: isOver })
  })
}
