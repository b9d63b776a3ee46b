/** Gives a held start back before its hold runs out, so that somebody else can have it at once. */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { releaseHeldVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export const releaseHoldInput = z.object({ referralId: z.string(), visitId: z.string() })
export type ReleaseHoldInput = z.output<typeof releaseHoldInput>

export type ReleasedHold = { visitId: string }
export type ReleaseHoldError = { code: 'referral_not_found' } | { code: 'hold_gone' }

/** Releases one hold. Saying it twice is harmless: the second time there is none. */
export async function releaseHold(
  ctx: Ctx,
  { referralId, visitId }: ReleaseHoldInput,
): Promise<Result<ReleasedHold, ReleaseHoldError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<ReleasedHold, ReleaseHoldError>(ctx, async (tx) => {
    const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
    if (!bookingCase || !may(ctx.actor, 'visit.book', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    if (bookingCase.held?.visitId !== visitId) return err({ code: 'hold_gone' })
    await releaseHeldVisit(tx, clinicId, visitId, now)
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'visit.released',
      subject: visitId,
      referralId,
      before: { startsAt: bookingCase.held.startsAt.toString(), clinicianId: bookingCase.held.clinicianId },
    })
    return ok({ visitId })
  })
}
