/** Takes a referral off the standby list. What it was being offered goes to the next one; the visit it has stays. */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { endEntry, findNewestOffer, findOpenEntry } from '#db/queries/standby.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { settleOffer } from './steps/free-time.ts'

export const leaveStandbyInput = z.object({ referralId: z.string() })
export type LeaveStandbyInput = z.output<typeof leaveStandbyInput>

/** False where it was on no list: then nothing happened. */
export type LeftStandby = { hasLeft: boolean }
export type LeaveStandbyError = { code: 'referral_not_found' }

export async function leaveStandby(
  ctx: Ctx,
  { referralId }: LeaveStandbyInput,
): Promise<Result<LeftStandby, LeaveStandbyError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<LeftStandby, LeaveStandbyError>(ctx, async (tx) => {
    const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
    if (!bookingCase || !may(ctx.actor, 'standby.write', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    const entry = await findOpenEntry(tx, clinicId, referralId)
    if (!entry) return ok({ hasLeft: false })
    const offer = await findNewestOffer(tx, clinicId, referralId)
    if (offer?.outcome === null) await settleOffer(tx, ctx, offer, 'withdrawn')
    await endEntry(tx, clinicId, entry.id, { ended: 'left', at: now, by: ctx.actor.id })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'standby.left',
      subject: entry.id,
      referralId,
    })
    return ok({ hasLeft: true })
  })
}
