/**
 * Somebody says that a readiness item is in order, or no longer is: the patient
 * on their page, or staff who were told by phone.
 */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findVisitToShow } from '#db/queries/board.ts'
import { insertMark } from '#db/queries/readiness.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { once, type Repeated } from './once.ts'

/** Items a person can vouch for; the others are read from what is on file. */
export const CONFIRMABLE = ['equipment', 'helper', 'packet_opened'] as const

/** Who said so on the phone, where staff write it down. */
export const HEARD_FROM = ['patient', 'helper', 'family', 'interpreter'] as const

export const confirmItemInput = z.object({
  /** A form that may be sent twice brings one; without it each call is a word of its own. */
  key: z.string().min(8).optional(),
  heardFrom: z.enum(HEARD_FROM).optional(),
  visitId: z.string(),
  item: z.enum(CONFIRMABLE),
  state: z.enum(['confirmed', 'withdrawn']),
  note: z.string().trim().max(500).optional(),
})
export type ConfirmItemInput = z.output<typeof confirmItemInput>

export type ConfirmedItem = { visitId: string }
export type ConfirmItemError = { code: 'visit_not_found' } | { code: 'visit_over' } | Repeated

export async function confirmItem(ctx: Ctx, input: ConfirmItemInput): Promise<Result<ConfirmedItem, ConfirmItemError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const { key, visitId, item, state, heardFrom } = input
  const work = async (tx: Db): Promise<Result<ConfirmedItem, ConfirmItemError>> => {
    const visit = await findVisitToShow(tx, clinicId, visitId)
    if (!visit || !may(ctx.actor, 'readiness.confirm', { clinicId, referralId: visit.referralId }))
      return err({ code: 'visit_not_found' })
    if (visit.status !== 'booked') return err({ code: 'visit_over' })
    await insertMark(tx, {
      id: ctx.newId('mrk'),
      actor: ctx.actor,
      visitId,
      item,
      state,
      at: now,
      forStartsAt: visit.startsAt,
      note: input.note ?? null,
    })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: `readiness.${state}`,
      subject: visitId,
      referralId: visit.referralId,
      after: { item, ...(heardFrom !== undefined && { heardFrom }) },
    })
    return ok({ visitId })
  }
  return key === undefined ? inTransaction(ctx, work) : once(ctx, { key, kind: 'confirm_item' }, work)
}
