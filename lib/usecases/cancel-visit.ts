/** Gives a booked visit's time back and says so to the patient. The referral is looked after again, not closed. */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findBookingCase, setBookingStage } from '#db/queries/booking-case.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findTakenStart } from '#db/queries/standby.ts'
import { endTaskOf } from '#db/queries/tasks.ts'
import { cancelBookedVisit, findReferralOfVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { isPastCutOff } from '#lib/domain/booking/cut-off.ts'
import { messagesForCancel } from '#lib/domain/messages/schedule.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { strandedKey } from './steps/change-clinic.ts'
import { freeTime } from './steps/free-time.ts'
import { queueMessages } from './steps/queue-messages.ts'

export const cancelVisitInput = z.object({
  key: z.string().min(8),
  visitId: z.string(),
  /** The version that was on the page. */
  version: z.coerce.number().int(),
  because: z.string().trim().min(3).max(500),
})
export type CancelVisitInput = z.output<typeof cancelVisitInput>

export type CancelledVisit = { visitId: string; referralId: string }
type Refusal =
  | { code: 'visit_not_found' }
  | { code: 'not_booked' }
  | { code: 'changed_meanwhile' }
  /** Too near for a patient to change it without calling. */
  | { code: 'too_late' }
export type CancelVisitError = Refusal | Repeated

/** Cancels one visit. A stopped referral can be cancelled too: nothing may hold somebody to a visit. */
export async function cancelVisit(
  ctx: Ctx,
  { key, visitId, version, because }: CancelVisitInput,
): Promise<Result<CancelledVisit, CancelVisitError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const whose = await findReferralOfVisit(ctx.db, clinicId, visitId)
  if (!whose || !may(ctx.actor, 'visit.cancel', { clinicId, ...whose })) return err({ code: 'visit_not_found' })
  const { referralId } = whose

  const cancel = async (tx: Db): Promise<Result<CancelledVisit, Refusal>> => {
    const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
    const visit = [bookingCase?.booked, bookingCase?.earlyLook].find((claim) => claim?.visitId === visitId)
    if (!bookingCase || !visit) return err({ code: 'not_booked' })
    if (visit.version !== version) return err({ code: 'changed_meanwhile' })
    const { policy } = await getClinic(tx, clinicId)
    if (ctx.actor.kind === 'patient' && isPastCutOff(visit.startsAt, policy, now)) return err({ code: 'too_late' })

    const taken = await findTakenStart(tx, clinicId, visitId)
    await cancelBookedVisit(tx, clinicId, visitId, because, now)
    await endTaskOf(tx, clinicId, referralId, strandedKey(visitId), { at: now, by: ctx.actor.id, note: because })
    const isMain = bookingCase.booked?.visitId === visitId
    const isOpen = bookingCase.stage === 'booked'
    if (isMain && isOpen) {
      const isDecided = bookingCase.assessment !== null && bookingCase.assessment.disposition !== 'ask_again'
      await setBookingStage(tx, clinicId, referralId, isDecided ? 'screened' : 'triaged')
      if (isDecided) await ctx.queue.enqueueSeeByWatch(tx, { clinicId, referralId })
    }
    const { mode, startsAt } = visit
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'visit.cancelled',
      subject: visitId,
      referralId,
      before: { startsAt: startsAt.toString(), clinicianId: visit.clinicianId, mode },
      after: { because },
    })
    const told = { id: visitId, referralId, startsAt, calendarSequence: visit.calendarSequence + 1 }
    await queueMessages(tx, ctx, messagesForCancel({ visit: told, now }))
    if (taken) await freeTime(tx, ctx, { clinicianId: taken.clinicianId, from: taken.busyFrom, to: taken.busyTo })
    return ok({ visitId, referralId })
  }
  // One that has begun is signed, not cancelled.
  return once<CancelledVisit, Refusal>(ctx, { key, kind: 'cancel_visit' }, cancel, {
    visits_begun_kept: { code: 'not_booked' },
  })
}
