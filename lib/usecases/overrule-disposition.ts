/**
 * A person decides otherwise than the engine, and says why. The engine's answer
 * stays beside it for ever; the booking follows the person's.
 */
import { z } from 'zod'
import { effectiveDisposition, findNewestAssessment, findReferralToScreen } from '#db/queries/assessments.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { DISPOSITIONS, type Disposition } from '#lib/domain/screening/screening.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { decideOtherwise } from './steps/decide-otherwise.ts'
import { refitVisit } from './steps/refit-visit.ts'

export const overruleDispositionInput = z.object({
  referralId: z.string(),
  /** The screening that was on the page: a newer one must be read first. */
  assessmentId: z.string(),
  to: z.enum(DISPOSITIONS),
  because: z.string().trim().min(10).max(1000),
})
export type OverruleDispositionInput = z.output<typeof overruleDispositionInput>

export type OverruledDisposition = { assessmentId: string; disposition: Disposition }
export type OverruleDispositionError =
  | { code: 'referral_not_found' }
  | { code: 'screened_again' }
  | { code: 'nothing_to_overrule' }
  /** An emergency is answered by a person first (the call task), then overruled. */
  | { code: 'stopped' }
  | { code: 'closed' }

/** Writes a new assessment that carries the engine's answer and the person's. */
export async function overruleDisposition(
  ctx: Ctx,
  { referralId, assessmentId, to, because }: OverruleDispositionInput,
): Promise<Result<OverruledDisposition, OverruleDispositionError>> {
  const { clinicId } = ctx.actor
  return inTransaction<OverruledDisposition, OverruleDispositionError>(ctx, async (tx) => {
    const referral = await findReferralToScreen(tx, clinicId, referralId)
    if (!referral || !may(ctx.actor, 'screening.overrule', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    if (referral.isStopped) return err({ code: 'stopped' })
    if (referral.stage === 'closed') return err({ code: 'closed' })
    const newest = await findNewestAssessment(tx, clinicId, referralId)
    if (!newest || newest.id !== assessmentId || referral.seeBy === null) return err({ code: 'screened_again' })
    if (effectiveDisposition(newest) === to) return err({ code: 'nothing_to_overrule' })

    const id = await decideOtherwise(tx, ctx, referral, newest, { to, because })
    await refitVisit(tx, ctx, referralId)
    return ok({ assessmentId: id, disposition: to })
  })
}
