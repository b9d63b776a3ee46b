/** Keeps a start for one referral for a few minutes, so that nobody loses it while they make up their mind. */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { insertVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { askedStartInput, type ClaimRefusal, claimStart, RACE_LOST, setAside } from './steps/claim-start.ts'
import { offerInstead, type WithNext } from './steps/offer-instead.ts'

export const holdStartInput = z.object({ key: z.string().min(8), referralId: z.string(), start: askedStartInput })
export type HoldStartInput = z.output<typeof holdStartInput>

/** Instants are ISO text. */
export type HeldStart = { visitId: string; startsAt: string; expiresAt: string }
type Refusal = ClaimRefusal | { code: 'referral_not_found' }
export type HoldStartError = WithNext<Refusal | Repeated>

/** Holds one start. The one the referral held before is given back in the same transaction. */
export async function holdStart(ctx: Ctx, input: HoldStartInput): Promise<Result<HeldStart, HoldStartError>> {
  const now = ctx.now()
  const { key, referralId, start: asked } = input
  const { clinicId } = ctx.actor

  const result = await once<HeldStart, Refusal>(
    ctx,
    { key, kind: 'hold_start' },
    async (tx) => {
      const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
      if (!bookingCase || !may(ctx.actor, 'visit.book', { clinicId, referralId }))
        return err({ code: 'referral_not_found' })
      const claim = await claimStart(tx, ctx, bookingCase, asked, { now, asOf: now, keep: null, moving: null })
      if (!claim.ok) return claim
      const { start, preparation, clinic } = claim.value

      const visitId = ctx.newId('vis')
      const holdExpiresAt = now.add({ minutes: clinic.policy.booking.holdMin })
      await insertVisit(tx, {
        ...start,
        ...preparation,
        clinicId,
        id: visitId,
        referralId,
        patientId: bookingCase.patient.id,
        calendarUid: ctx.newId('cal'),
        status: 'held',
        holdExpiresAt,
        heldBy: ctx.actor.id,
        at: now,
      })
      const held = { visitId, startsAt: start.startsAt.toString(), expiresAt: holdExpiresAt.toString() }
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'visit.held',
        subject: visitId,
        referralId,
        after: { ...held, clinicianId: start.clinicianId, mode: start.mode, ...setAside(preparation) },
      })
      return ok(held)
    },
    RACE_LOST,
  )
  return result.ok ? result : err(await offerInstead(ctx, referralId, asked, result.error))
}
