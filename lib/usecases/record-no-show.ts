/** The patient did not come: said by whoever waited or by the desk, and somebody calls them. */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findVisitToShow } from '#db/queries/board.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { endVisit, findRecord, insertRecord } from '#db/queries/outcomes.ts'
import { listVisitsOf } from '#db/queries/referrals.ts'
import { findReferralOfVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { arrangeFollowUp } from './steps/arrange-follow-up.ts'

export const recordNoShowInput = z.object({
  key: z.string().min(8),
  visitId: z.string(),
  /** What was tried to reach them. */
  note: z.string().trim().min(3).max(2000),
})
export type RecordNoShowInput = z.output<typeof recordNoShowInput>

export type RecordedNoShow = { visitId: string; referralId: string }
type Refusal =
  | { code: 'visit_not_found' }
  | { code: 'not_open' }
  | { code: 'too_early' }
  /** Something was recorded of this visit, so somebody came. */
  | { code: 'has_begun' }
export type RecordNoShowError = Refusal | Repeated

export async function recordNoShow(
  ctx: Ctx,
  { key, visitId, note }: RecordNoShowInput,
): Promise<Result<RecordedNoShow, RecordNoShowError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const whose = await findReferralOfVisit(ctx.db, clinicId, visitId)
  if (!whose || !may(ctx.actor, 'no_show.write', { clinicId, ...whose })) return err({ code: 'visit_not_found' })
  const { referralId } = whose

  const write = async (tx: Db): Promise<Result<RecordedNoShow, Refusal>> => {
    const visit = await findVisitToShow(tx, clinicId, visitId)
    if (visit?.status !== 'booked') return err({ code: 'not_open' })
    if (Temporal.Instant.compare(now, visit.startsAt) < 0) return err({ code: 'too_early' })
    if ((await findRecord(tx, clinicId, visitId)) !== null) return err({ code: 'has_begun' })
    const signed = { outcome: 'no_show', endedAt: now, signedBy: ctx.actor.id, signedAt: now } as const
    await insertRecord(tx, { clinicId, visitId, note, ...signed })
    await endVisit(tx, clinicId, visitId, 'no_show', now)
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'visit.no_show',
      subject: visitId,
      referralId,
      after: { note },
    })
    const { timeZone } = await getClinic(tx, clinicId)
    const others = await listVisitsOf(tx, clinicId, referralId)
    const hasOtherVisit = others.some(({ id, status }) => id !== visitId && status === 'booked')
    await arrangeFollowUp(tx, ctx, {
      ...{ visitId, referralId, hasOtherVisit },
      clinicianName: visit.clinicianName,
      visitOn: visit.startsAt.toZonedDateTimeISO(timeZone).toPlainDate().toString(),
      outcome: 'no_show',
      kind: 'call',
      stations: [],
      seeBy: null,
      because: note,
    })
    return ok({ visitId, referralId })
  }
  return once<RecordedNoShow, Refusal>(ctx, { key, kind: 'record_no_show' }, write, {
    visit_records_clinic_id_visit_id_pk: { code: 'has_begun' },
  })
}
