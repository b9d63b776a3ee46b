/**
 * Moves one booked visit to a start that was claimed for it: in place, with its audit line, its packet and its messages, and
 * the time that it left is offered on. Patient, staff and a yes to a sooner start all come through here.
 */
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findTakenStart } from '#db/queries/standby.ts'
import { moveVisitTo } from '#db/queries/visits.ts'
import type { BookingCase, Claim } from '#lib/domain/booking/booking-case.ts'
import type { Ctx } from '../context.ts'
import { type ReadyClaim, setAside } from './claim-start.ts'
import { freeTime } from './free-time.ts'
import { prepareVisit } from './prepare-visit.ts'

/** Instants are ISO text. */
export type MovedVisit = { visitId: string; startsAt: string; mode: 'video' | 'in_person' }

export async function carryOutMove(
  tx: Db,
  ctx: Ctx,
  bookingCase: BookingCase,
  was: Claim,
  ready: ReadyClaim,
): Promise<MovedVisit> {
  const now = ctx.now()
  const { clinicId, referralId } = bookingCase
  const { visitId, clinicianId, mode } = was
  const { start, preparation } = ready
  const left = await findTakenStart(tx, clinicId, visitId)
  await moveVisitTo(tx, clinicId, visitId, start, preparation, now)
  const moved: MovedVisit = { visitId, startsAt: start.startsAt.toString(), mode: start.mode }
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'visit.moved',
    subject: visitId,
    referralId,
    before: { startsAt: was.startsAt.toString(), clinicianId, mode },
    after: { ...moved, clinicianId: start.clinicianId, ...setAside(preparation) },
  })
  const told = { id: visitId, referralId, startsAt: start.startsAt, calendarSequence: was.calendarSequence + 1 }
  await prepareVisit(tx, ctx, bookingCase, told, ready, now)
  if (left) await freeTime(tx, ctx, { clinicianId: left.clinicianId, from: left.busyFrom, to: left.busyTo })
  return moved
}
