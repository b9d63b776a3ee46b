/**
 * A video visit becomes one at the clinic, in one deed: the person's decision with its reason beside the engine's answer,
 * and the visit at its new start, or a task for the desk to find one. Coming to the clinic is always safe, so this is never
 * refused for what the home allows.
 */
import { z } from 'zod'
import { effectiveDisposition, findNewestAssessment, findReferralToScreen } from '#db/queries/assessments.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { findReferralOfVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { carryOutMove } from './steps/carry-out-move.ts'
import { askedStartInput, type ClaimRefusal, claimStart, RACE_LOST } from './steps/claim-start.ts'
import { decideOtherwise } from './steps/decide-otherwise.ts'
import { offerInstead, type WithNext } from './steps/offer-instead.ts'
import { refitVisit } from './steps/refit-visit.ts'

export const moveToInPersonInput = z.object({
  key: z.string().min(8),
  visitId: z.string(),
  /** The version that was on the page. */
  version: z.coerce.number().int(),
  because: z.string().trim().min(10).max(1000),
  /** Null = the desk finds one. */
  start: askedStartInput.nullable(),
})
export type MoveToInPersonInput = z.output<typeof moveToInPersonInput>

/** `startsAt` is ISO text; null = a task asks for a start. */
export type MovedToInPerson = { visitId: string; startsAt: string | null }
type Refusal =
  | ClaimRefusal
  | { code: 'visit_not_found' }
  | { code: 'not_booked' }
  | { code: 'changed_meanwhile' }
  /** It is at the clinic already, or decided and waiting for its start. */
  | { code: 'in_person_already' }
  /** An emergency call is open: a person answers that first. */
  | { code: 'stopped' }
export type MoveToInPersonError = WithNext<Refusal | Repeated>

export async function moveToInPerson(
  ctx: Ctx,
  input: MoveToInPersonInput,
): Promise<Result<MovedToInPerson, MoveToInPersonError>> {
  const now = ctx.now()
  const { key, visitId, version, because, start: asked } = input
  const { clinicId } = ctx.actor
  const whose = await findReferralOfVisit(ctx.db, clinicId, visitId)
  const referralId = whose?.referralId ?? ''
  const needed = asked === null ? (['screening.overrule'] as const) : (['screening.overrule', 'visit.move'] as const)
  if (!whose || !needed.every((action) => may(ctx.actor, action, { clinicId, ...whose })))
    return err({ code: 'visit_not_found' })

  const result = await once<MovedToInPerson, Refusal>(
    ctx,
    { key, kind: 'move_to_in_person' },
    async (tx) => {
      const referral = await findReferralToScreen(tx, clinicId, referralId)
      const newest = await findNewestAssessment(tx, clinicId, referralId)
      if (!referral || !newest) return err({ code: 'not_booked' })
      if (referral.isStopped) return err({ code: 'stopped' })
      const before = await findBookingCase(tx, clinicId, referralId, { lock: true })
      const visit = before?.booked?.visitId === visitId ? before.booked : null
      if (!visit) return err({ code: 'not_booked' })
      if (visit.mode === 'in_person') return err({ code: 'in_person_already' })
      if (visit.version !== version) return err({ code: 'changed_meanwhile' })

      const disposition = effectiveDisposition(newest)
      const isDecided = disposition === 'in_person' || disposition === 'urgent_in_person'
      if (isDecided && asked === null) return err({ code: 'in_person_already' })
      // Never from urgent to merely in person: a decision may only raise urgency here.
      if (!isDecided) await decideOtherwise(tx, ctx, referral, newest, { to: 'in_person', because })
      if (asked === null) {
        await refitVisit(tx, ctx, referralId)
        return ok({ visitId, startsAt: null })
      }
      const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
      if (!bookingCase) return err({ code: 'not_booked' })
      const claim = await claimStart(tx, ctx, bookingCase, asked, { now, asOf: now, keep: null, moving: visit })
      if (!claim.ok) return claim
      const { startsAt } = await carryOutMove(tx, ctx, bookingCase, visit, claim.value)
      return ok({ visitId, startsAt })
    },
    RACE_LOST,
  )
  const wanted = asked ?? { mode: 'in_person' as const, released: [] }
  return result.ok ? result : err(await offerInstead(ctx, referralId, wanted, result.error))
}
