/** Somebody at the clinic asks the patient once more for what a visit still lacks: one mail that names it, with their link. */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { findVisitToShow } from '#db/queries/board.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { getPatient } from '#db/queries/patients.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { messagesForMissing } from '#lib/domain/messages/schedule.ts'
import type { ReadinessItem } from '#lib/domain/readiness/items.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { missingFor } from './steps/missing-for.ts'
import { queueMessages } from './steps/queue-messages.ts'

export const sendMissingInput = z.object({ key: z.string().min(8), visitId: z.string() })
export type SendMissingInput = z.output<typeof sendMissingInput>

export type SentMissing = { visitId: string; missing: ReadinessItem[] }
type Refusal =
  | { code: 'visit_not_found' }
  | { code: 'visit_over' }
  /** Nothing that the patient could settle is open. */
  | { code: 'nothing_missing' }
  /** There is no address: somebody has to call. */
  | { code: 'no_address' }
  /** An emergency flag waits for a person: nobody is asked to get ready meanwhile. */
  | { code: 'stopped' }
export type SendMissingError = Refusal | Repeated

export async function sendMissing(
  ctx: Ctx,
  { key, visitId }: SendMissingInput,
): Promise<Result<SentMissing, SendMissingError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return once<SentMissing, Refusal>(ctx, { key, kind: 'send_missing' }, async (tx) => {
    const visit = await findVisitToShow(tx, clinicId, visitId)
    if (!visit || !may(ctx.actor, 'missing.send', { clinicId, referralId: visit.referralId }))
      return err({ code: 'visit_not_found' })
    const { referralId, startsAt } = visit
    if (visit.status !== 'booked' || startsAt.epochMilliseconds <= now.epochMilliseconds)
      return err({ code: 'visit_over' })
    const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
    if (!bookingCase) return err({ code: 'visit_not_found' })
    if (bookingCase.isStopped) return err({ code: 'stopped' })
    const missing = await missingFor(tx, ctx, visitId)
    if (missing.length === 0) return err({ code: 'nothing_missing' })
    const { email } = await getPatient(tx, clinicId, bookingCase.patient.id)
    if (email === null) return err({ code: 'no_address' })

    const { policy } = await getClinic(tx, clinicId)
    const calendarSequence = [bookingCase.booked, bookingCase.earlyLook].find(
      (claim) => claim?.visitId === visitId,
    )?.calendarSequence
    const told = { id: visitId, referralId, startsAt, calendarSequence: calendarSequence ?? 0 }
    await queueMessages(tx, ctx, messagesForMissing({ visit: told, policy, zone: visit.patientTimeZone, now }))
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'missing.asked_again',
      subject: visitId,
      referralId,
      after: { missing },
    })
    return ok({ visitId, missing })
  })
}
