/** Writes a person's decision beside the engine's answer, inside the transaction of the deed that it belongs to. */
import type { Db } from '#db/client.ts'
import {
  type Assessment,
  datedAfter,
  effectiveDisposition,
  type findReferralToScreen,
  insertAssessment,
  settleReferral,
} from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { invariant } from '#lib/base/invariant.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'
import type { Ctx } from '../context.ts'

type Locked = NonNullable<Awaited<ReturnType<typeof findReferralToScreen>>>

/** Returns the id of the new assessment. Whether the visit still fits is the caller's next question. */
export async function decideOtherwise(
  tx: Db,
  ctx: Ctx,
  referral: Locked,
  newest: Assessment,
  { to, because }: { to: Disposition; because: string },
): Promise<string> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const { id: referralId, seeBy } = referral
  invariant(seeBy, 'a screened referral has a see-by time')
  const id = ctx.newId('asm')
  const overruled = to === newest.disposition ? null : { to, because, by: ctx.actor.id }
  await insertAssessment(tx, clinicId, referralId, { ...newest, id, at: datedAfter(newest, now), overruled })
  const stage = to === 'ask_again' ? 'triaged' : 'screened'
  await settleReferral(tx, clinicId, referralId, {
    stage: referral.stage === 'booked' ? 'booked' : stage,
    seeBy,
    isStopped: false,
  })
  if (stage === 'screened') await ctx.queue.enqueueSeeByWatch(tx, { clinicId, referralId })
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'screening.overruled',
    subject: id,
    referralId,
    before: { disposition: effectiveDisposition(newest) },
    after: { disposition: to, because },
  })
  return id
}
