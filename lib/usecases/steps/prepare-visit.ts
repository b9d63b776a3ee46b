/** What follows from a visit that was just booked or moved: its packet, its messages, and the tasks that are done by it. */
import type { Db } from '#db/client.ts'
import { setBookingStage } from '#db/queries/booking-case.ts'
import { endTasksOfBooking } from '#db/queries/tasks.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { BookingCase } from '#lib/domain/booking/booking-case.ts'
import { messagesForBooking, messagesForMove, type VisitToTell } from '#lib/domain/messages/schedule.ts'
import type { Ctx } from '../context.ts'
import { strandedKey } from './change-clinic.ts'
import type { ReadyClaim } from './claim-start.ts'
import { queueMessages } from './queue-messages.ts'
import { revisePacket } from './revise-packet.ts'

/** Prepares a visit inside the transaction that booked or moved it. */
export async function prepareVisit(
  tx: Db,
  ctx: Ctx,
  bookingCase: BookingCase,
  visit: VisitToTell,
  { start: { mode }, preparation, clinic }: ReadyClaim,
  now: Temporal.Instant,
): Promise<void> {
  const { clinicId, referralId } = bookingCase
  const told = { visit, mode, policy: clinic.policy, zone: preparation.patientTimeZone, now }
  const planned = visit.calendarSequence === 0 ? messagesForBooking(told) : messagesForMove(told)
  const isInTime = bookingCase.seeBy === null || visit.startsAt.epochMilliseconds <= bookingCase.seeBy.epochMilliseconds
  // Too late with a reason is decided too: the reason goes with it, and nobody has to look for a start any more.
  const { releasedBecause: note } = preparation
  const settled = { strandedKey: strandedKey(visit.id), isLateSettled: isInTime || note !== null }
  await Promise.all([
    mode === 'video' ? revisePacket(tx, ctx, clinic, visit.id) : null,
    queueMessages(tx, ctx, planned),
    bookingCase.stage === 'booked' ? null : setBookingStage(tx, clinicId, referralId, 'booked'),
    endTasksOfBooking(tx, clinicId, referralId, settled, { at: now, by: ctx.actor.id, note }),
  ])
}
