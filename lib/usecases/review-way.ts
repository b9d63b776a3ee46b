/** The clinic's lead has looked at a way that is done less often than expected, and says so. No protocol changes by it. */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { insertWayReview } from '#db/queries/learning.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { learningScope } from './steps/learning-scope.ts'
import { readSuggestions } from './steps/read-suggestions.ts'

export const reviewWayInput = z.object({
  protocolId: z.string(),
  protocolVersion: z.number().int(),
  stationId: z.string(),
  wayId: z.string(),
  because: z.string().trim().min(3).max(2000),
})
export type ReviewWayInput = z.output<typeof reviewWayInput>
export type ReviewedWay = Omit<ReviewWayInput, 'because'>
export type ReviewWayDone = { done: number; of: number }
export type ReviewWayError = { code: 'not_allowed' } | { code: 'not_suggested' }

/** With the counts as they stand now, so that later ones can be set beside them. */
export async function reviewWay(ctx: Ctx, input: ReviewWayInput): Promise<Result<ReviewWayDone, ReviewWayError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'learning.review', { clinicId })) return err({ code: 'not_allowed' })
  return inTransaction<ReviewWayDone, ReviewWayError>(ctx, async (tx) => {
    const clinic = await getClinic(tx, clinicId)
    const { scope } = learningScope(clinic, { from: null, to: null, clinicianId: null, conditionId: null }, now)
    const { protocolId, protocolVersion, stationId, wayId, because } = input
    const suggestion = (await readSuggestions(tx, clinic, scope)).find(
      (each) =>
        each.protocolId === protocolId &&
        each.protocolVersion === protocolVersion &&
        each.stationId === stationId &&
        each.wayId === wayId,
    )
    if (!suggestion) return err({ code: 'not_suggested' })
    const { done, of } = suggestion
    const id = ctx.newId('rev')
    const way = { protocolId, protocolVersion, stationId, wayId }
    await insertWayReview(tx, { clinicId, id, ...way, done, of, because, by: ctx.actor.id, at: now })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'way.reviewed',
      subject: id,
      after: { ...way, done, of, because },
    })
    return ok({ done, of })
  })
}
