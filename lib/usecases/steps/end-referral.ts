/** A referral ends: it is closed with the reason on file, its tasks are done, and what was still to be sent is not sent. */
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { dropQueuedMessages, type Referral, updateReferral } from '#db/queries/referrals.ts'
import { markTasksDone } from '#db/queries/tasks.ts'
import type { Ctx } from '../context.ts'

export async function endReferral(
  tx: Db,
  ctx: Ctx,
  { id: referralId, stage }: Pick<Referral, 'id' | 'stage'>,
  because: string,
): Promise<void> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  await updateReferral(tx, clinicId, referralId, { stage: 'closed', closedBecause: because })
  await markTasksDone(tx, clinicId, referralId, { at: now, by: ctx.actor.id, note: because })
  await dropQueuedMessages(tx, clinicId, referralId)
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'referral.closed',
    subject: referralId,
    referralId,
    before: { stage },
    after: { because },
  })
}
