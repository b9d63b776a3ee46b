/** Adds to a signed record. What was signed stays as it was. */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { insertAddendum } from '#db/queries/outcomes.ts'
import { findReferralOfVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'

export const addAddendumInput = z.object({
  key: z.string().min(8),
  visitId: z.string(),
  text: z.string().trim().min(3).max(5000),
})
export type AddAddendumInput = z.output<typeof addAddendumInput>
export type AddedAddendum = { visitId: string }
type Refusal = { code: 'visit_not_found' } | { code: 'not_signed' }
export type AddAddendumError = Refusal | Repeated

export async function addAddendum(
  ctx: Ctx,
  { key, visitId, text }: AddAddendumInput,
): Promise<Result<AddedAddendum, AddAddendumError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const whose = await findReferralOfVisit(ctx.db, clinicId, visitId)
  if (!whose || !may(ctx.actor, 'outcome.write', { clinicId, ...whose })) return err({ code: 'visit_not_found' })
  const write = async (tx: Db): Promise<Result<AddedAddendum, Refusal>> => {
    await insertAddendum(tx, { clinicId, id: ctx.newId('add'), visitId, text, by: ctx.actor.id, at: now })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'visit.addendum',
      subject: visitId,
      referralId: whose.referralId,
    })
    return ok({ visitId })
  }
  return once<AddedAddendum, Refusal>(ctx, { key, kind: 'add_addendum' }, write, {
    addenda_need_signature: { code: 'not_signed' },
  })
}
