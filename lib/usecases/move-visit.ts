/** Moves a booked visit to another start, in place: the same visit, the same calendar entry, new times and messages. */
import { z } from 'zod'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { findReferralOfVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { isPastCutOff } from '#lib/domain/booking/cut-off.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { carryOutMove, type MovedVisit } from './steps/carry-out-move.ts'
import { askedStartInput, type ClaimRefusal, claimStart, RACE_LOST } from './steps/claim-start.ts'
import { offerInstead, type WithNext } from './steps/offer-instead.ts'

export const moveVisitInput = z.object({
  key: z.string().min(8),
  visitId: z.string(),
  /** The version that was on the page. */
  version: z.coerce.number().int(),
  start: askedStartInput,
})
export type MoveVisitInput = z.output<typeof moveVisitInput>

type Refusal =
  | ClaimRefusal
  | { code: 'visit_not_found' }
  | { code: 'not_booked' }
  | { code: 'changed_meanwhile' }
  /** Too near for a patient to change it without calling. */
  | { code: 'too_late' }
export type MoveVisitError = WithNext<Refusal | Repeated>

/** Moves one visit. Its old time is free in the same moment. */
export async function moveVisit(ctx: Ctx, input: MoveVisitInput): Promise<Result<MovedVisit, MoveVisitError>> {
  const now = ctx.now()
  const { key, visitId, version, start: asked } = input
  const { clinicId } = ctx.actor
  const whose = await findReferralOfVisit(ctx.db, clinicId, visitId)
  const referralId = whose?.referralId ?? ''
  if (!whose || !may(ctx.actor, 'visit.move', { clinicId, ...whose })) return err({ code: 'visit_not_found' })

  const result = await once<MovedVisit, Refusal>(
    ctx,
    { key, kind: 'move_visit' },
    async (tx) => {
      const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
      const visit = [bookingCase?.booked, bookingCase?.earlyLook].find((claim) => claim?.visitId === visitId)
      if (!bookingCase || !visit) return err({ code: 'not_booked' })
      if (visit.version !== version) return err({ code: 'changed_meanwhile' })
      const claim = await claimStart(tx, ctx, bookingCase, asked, { now, asOf: now, keep: null, moving: visit })
      if (!claim.ok) return claim
      if (ctx.actor.kind === 'patient' && isPastCutOff(visit.startsAt, claim.value.clinic.policy, now))
        return err({ code: 'too_late' })

      return ok(await carryOutMove(tx, ctx, bookingCase, visit, claim.value))
    },
    { ...RACE_LOST, visits_begun_kept: { code: 'not_booked' } },
  )
  return result.ok ? result : err(await offerInstead(ctx, referralId, asked, result.error))
}
