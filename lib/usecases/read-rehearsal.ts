/** What a patient can try with their camera before the visit, and what they found so far. */
import { listNewestRehearsals } from '#db/queries/rehearsals.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Advice } from '#lib/domain/rehearsal/advice.ts'
import type { Ctx } from './context.ts'
import { setUpsAhead } from './steps/set-ups-ahead.ts'

export type RehearsalPage = {
  /** In the order of the exam; empty = nothing is planned at home. */
  setUps: SetUpGeometry[]
  /** The newest try of each set-up, newest first. `at` is ISO. */
  tried: { setUpId: string; at: string; advice: Advice[] }[]
}
export type ReadRehearsalError = { code: 'referral_not_found' }

export async function readRehearsal(
  ctx: Ctx,
  { referralId }: { referralId: string },
): Promise<Result<RehearsalPage, ReadRehearsalError>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'packet.read', { clinicId, referralId })) return err({ code: 'referral_not_found' })
  const { setUps } = await setUpsAhead(ctx.db, clinicId, referralId)
  const tried = await listNewestRehearsals(ctx.db, clinicId, referralId)
  return ok({
    setUps,
    tried: tried.map(({ at, readings, advice }) => ({ setUpId: readings.setUpId, at: at.toString(), advice })),
  })
}
