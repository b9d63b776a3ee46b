/** Opens the record of a visit for writing, and locks it: only while the visit is on and nobody has signed. */
import type { Db } from '#db/client.ts'
import { findVisitToShow } from '#db/queries/board.ts'
import { openRecord, type VisitRecord } from '#db/queries/outcomes.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { mayRecord } from '#lib/domain/outcomes/record.ts'
import type { StoredVisit } from '#lib/domain/readiness/board-visit.ts'
import type { Ctx } from '../context.ts'

export type NotOpen = { code: 'visit_not_found' } | { code: 'not_open' } | { code: 'too_early' } | { code: 'signed' }

export async function openToWrite(
  tx: Db,
  ctx: Ctx,
  visitId: string,
): Promise<Result<{ visit: StoredVisit; record: VisitRecord }, NotOpen>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const visit = await findVisitToShow(tx, clinicId, visitId)
  if (!visit) return err({ code: 'visit_not_found' })
  if (visit.status !== 'booked') return err({ code: visit.status === 'cancelled' ? 'not_open' : 'signed' })
  if (!mayRecord(visit.startsAt, now)) return err({ code: 'too_early' })
  const record = await openRecord(tx, clinicId, visitId, now)
  if (record === null || record.signedAt !== null) return err({ code: 'signed' })
  return ok({ visit, record })
}
