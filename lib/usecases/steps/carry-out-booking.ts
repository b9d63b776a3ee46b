/**
 * Books a start that was claimed for a referral: out of its hold or as a new row, with its audit line, its packet and its
 * messages. Whoever books, and a yes to an offered start where there is no visit yet, comes through here.
 */
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { bookHeldVisit, insertVisit } from '#db/queries/visits.ts'
import type { BookingCase } from '#lib/domain/booking/booking-case.ts'
import type { Ctx } from '../context.ts'
import { type ReadyClaim, setAside } from './claim-start.ts'
import { prepareVisit } from './prepare-visit.ts'

/** Instants are ISO text. */
export type BookedVisit = { visitId: string; startsAt: string; mode: 'video' | 'in_person' }

/** `heldVisitId` is the hold that is booked; null = directly. */
export async function carryOutBooking(
  tx: Db,
  ctx: Ctx,
  bookingCase: BookingCase,
  heldVisitId: string | null,
  ready: ReadyClaim,
): Promise<BookedVisit> {
  const now = ctx.now()
  const { clinicId, referralId, patient } = bookingCase
  const { start, preparation } = ready
  const visitId = heldVisitId ?? ctx.newId('vis')
  const whose = { clinicId, id: visitId, referralId, patientId: patient.id }
  const booked: BookedVisit = { visitId, startsAt: start.startsAt.toString(), mode: start.mode }
  const visit = { id: visitId, referralId, startsAt: start.startsAt, calendarSequence: 0 }
  await Promise.all([
    heldVisitId === null
      ? insertVisit(tx, {
          ...start,
          ...preparation,
          ...whose,
          calendarUid: ctx.newId('cal'),
          status: 'booked',
          at: now,
        })
      : bookHeldVisit(tx, clinicId, visitId, start, preparation, now),
    recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'visit.booked',
      subject: visitId,
      referralId,
      after: { ...booked, clinicianId: start.clinicianId, ...setAside(preparation) },
    }),
    prepareVisit(tx, ctx, bookingCase, visit, ready, now),
  ])
  return booked
}
