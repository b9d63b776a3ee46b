/**
 * Yes or no to a sooner start. Yes moves the visit they have, in place, or books their first one, and what they had goes
 * to the next who waits. The first answer counts, whoever gave it: the patient on their phone, or the clinic for them.
 */
import { z } from 'zod'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { findOffer, findTakenStart } from '#db/queries/standby.ts'
import { queueFor } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { carryOutBooking } from './steps/carry-out-booking.ts'
import { carryOutMove } from './steps/carry-out-move.ts'
import { type ClaimRefusal, claimStart, RACE_LOST } from './steps/claim-start.ts'
import { settleOffer } from './steps/free-time.ts'

export const answerOfferInput = z.object({
  key: z.string().min(8),
  offerId: z.string(),
  answer: z.enum(['accept', 'decline']),
})
export type AnswerOfferInput = z.output<typeof answerOfferInput>

/** Instants are ISO text; null where they keep what they have. */
export type AnsweredOffer = { offerId: string; visit: { visitId: string; startsAt: string } | null }
type Refusal =
  | ClaimRefusal
  | { code: 'offer_not_found' }
  /** It was answered already, or the time to answer is over. */
  | { code: 'offer_over' }
export type AnswerOfferError = Refusal | Repeated

export async function answerOffer(
  ctx: Ctx,
  { key, offerId, answer }: AnswerOfferInput,
): Promise<Result<AnsweredOffer, AnswerOfferError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const seen = await findOffer(ctx.db, clinicId, offerId)
  if (!seen || !may(ctx.actor, 'offer.answer', { clinicId, referralId: seen.referralId }))
    return err({ code: 'offer_not_found' })
  const { referralId } = seen

  return once<AnsweredOffer, Refusal>(
    ctx,
    { key, kind: 'answer_offer' },
    async (tx) => {
      const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
      // Before the offer is read: who closes the clinician's time may be taking it back.
      await queueFor(tx, clinicId, 'clinician', seen.clinicianId)
      const offer = await findOffer(tx, clinicId, offerId)
      const held = offer && (await findTakenStart(tx, clinicId, offer.visitId))
      if (!bookingCase || !offer || !held || offer.outcome !== null || isPast(offer.expiresAt, now))
        return err({ code: 'offer_over' })
      if (answer === 'decline') {
        await settleOffer(tx, ctx, offer, 'declined')
        return ok({ offerId, visit: null })
      }

      // The start is given back first: the visit that takes it is another row.
      await settleOffer(tx, ctx, offer, 'accepted', 'served')
      const asked = { ...held, released: [], because: null }
      const moving = bookingCase.booked
      // The clinic made the offer; what a patient may choose by themselves is not asked again.
      const clinicsOwn: Ctx = { ...ctx, actor: { kind: 'system', clinicId, id: 'system' } }
      const claim = await claimStart(tx, clinicsOwn, bookingCase, asked, {
        now,
        asOf: offer.offeredAt,
        keep: null,
        moving,
      })
      if (!claim.ok) return claim
      const { visitId, startsAt } = moving
        ? await carryOutMove(tx, ctx, bookingCase, moving, claim.value)
        : await carryOutBooking(tx, ctx, bookingCase, null, claim.value)
      return ok({ offerId, visit: { visitId, startsAt } })
    },
    RACE_LOST,
  )
}

function isPast(at: Temporal.Instant, now: Temporal.Instant): boolean {
  return Temporal.Instant.compare(at, now) <= 0
}
