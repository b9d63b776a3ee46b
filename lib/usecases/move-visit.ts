/** Moves a booked visit to another start, in place: the same visit, the same calendar entry, new times and messages. */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { findTakenStart } from '#db/queries/standby.ts'
import { findReferralOfVisit, moveVisitTo } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { isPastCutOff } from '#lib/domain/booking/cut-off.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { askedStartInput, type ClaimRefusal, claimStart, RACE_LOST, setAside } from './steps/claim-start.ts'
import { freeTime } from './steps/free-time.ts'
import { offerInstead, type WithNext } from './steps/offer-instead.ts'
import { prepareVisit } from './steps/prepare-visit.ts'

export const moveVisitInput = z.object({
  key: z.string().min(8),
  visitId: z.string(),
  /** The version that was on the page. */
  version: z.coerce.number().int(),
  start: askedStartInput,
})
export type MoveVisitInput = z.output<typeof moveVisitInput>

/** Instants are ISO text. */
export type MovedVisit = { visitId: string; startsAt: string; mode: 'video' | 'in_person' }
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
      const { start, preparation, clinic } = claim.value
      if (ctx.actor.kind === 'patient' && isPastCutOff(visit.startsAt, clinic.policy, now))
        return err({ code: 'too_late' })

      const taken = await findTakenStart(tx, clinicId, visitId)
      await moveVisitTo(tx, clinicId, visitId, start, preparation, now)
      const moved: MovedVisit = { visitId, startsAt: start.startsAt.toString(), mode: start.mode }
      const { clinicianId, mode } = visit
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'visit.moved',
        subject: visitId,
        referralId,
        before: { startsAt: visit.startsAt.toString(), clinicianId, mode },
        after: { ...moved, clinicianId: start.clinicianId, ...setAside(preparation) },
      })
      const calendarSequence = visit.calendarSequence + 1
      const told = { id: visitId, referralId, startsAt: start.startsAt, calendarSequence }
      await prepareVisit(tx, ctx, bookingCase, told, claim.value, now)
      if (taken) await freeTime(tx, ctx, { clinicianId: taken.clinicianId, from: taken.busyFrom, to: taken.busyTo })
      return ok(moved)
    },
    RACE_LOST,
  )
  return result.ok ? result : err(await offerInstead(ctx, referralId, asked, result.error))
}
