/** Books a visit: out of a hold, or directly. The visit, its audit line, packet and messages are one transaction. */
import { z } from 'zod'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Claim } from '#lib/domain/booking/booking-case.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { type BookedVisit, carryOutBooking } from './steps/carry-out-booking.ts'
import { type AskedStart, askedStartInput, type ClaimRefusal, claimStart, RACE_LOST } from './steps/claim-start.ts'
import { offerInstead, type WithNext } from './steps/offer-instead.ts'

export const bookVisitInput = z.object({
  key: z.string().min(8),
  referralId: z.string(),
  /** The hold it is booked from; null = directly. */
  heldVisitId: z.string().nullable(),
  start: askedStartInput,
})
export type BookVisitInput = z.output<typeof bookVisitInput>

type Refusal =
  | ClaimRefusal
  | { code: 'referral_not_found' }
  /** The hold ran out and somebody else took the time, or it was given back. */
  | { code: 'hold_gone' }
export type BookVisitError = WithNext<Refusal | Repeated>

/**
 * Books one start. A hold that ran out but whose time nobody has wanted is still good: it is only judged anew. What the
 * plan and the place are at this moment is what the visit keeps.
 */
export async function bookVisit(ctx: Ctx, input: BookVisitInput): Promise<Result<BookedVisit, BookVisitError>> {
  const now = ctx.now()
  const { key, referralId, heldVisitId } = input
  const { clinicId } = ctx.actor

  const result = await once<BookedVisit, Refusal>(
    ctx,
    { key, kind: 'book_visit' },
    async (tx) => {
      const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
      if (!bookingCase || !may(ctx.actor, 'visit.book', { clinicId, referralId }))
        return err({ code: 'referral_not_found' })
      const held = heldVisitId === null ? null : bookingCase.held
      if (heldVisitId !== null && held?.visitId !== heldVisitId) return err({ code: 'hold_gone' })

      const asked = held ? askedBy(held, input.start) : input.start
      const asOf = held && isLive(held, now) ? held.madeAt : now
      const keep = held?.visitId ?? null
      const claim = await claimStart(tx, ctx, bookingCase, asked, { now, asOf, keep, moving: null })
      if (!claim.ok) return claim
      return ok(await carryOutBooking(tx, ctx, bookingCase, keep, claim.value))
    },
    RACE_LOST,
  )
  return result.ok ? result : err(await offerInstead(ctx, referralId, input.start, result.error))
}

/** The hold says what is booked and what was set aside for it, whatever the form says; the form may set more aside. */
function askedBy(held: Claim, form: AskedStart): AskedStart {
  const { sessionId, clinicianId, mode, startsAt, roomId, interpreterId } = held
  const released = [...new Set([...held.released, ...form.released])]
  const because = form.because || held.releasedBecause
  return { sessionId, clinicianId, mode, startsAt, roomId, interpreterId, released, because }
}

function isLive(held: Claim, now: Temporal.Instant): boolean {
  return held.holdExpiresAt !== null && Temporal.Instant.compare(held.holdExpiresAt, now) > 0
}
