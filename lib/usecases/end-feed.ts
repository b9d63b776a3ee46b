/** Takes the address of a clinician's calendar feed back: from now on it shows nothing to anybody. */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { endFeed as endLiveFeed } from '#db/queries/feeds.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'

export const endFeedInput = z.object({ key: z.string().min(8), clinicianId: z.string() })
export type EndFeedInput = z.output<typeof endFeedInput>

export type EndedFeed = { clinicianId: string }
type Refusal = { code: 'clinician_not_found' } | { code: 'no_feed' }
export type EndFeedError = Refusal | Repeated

export async function endFeed(ctx: Ctx, { key, clinicianId }: EndFeedInput): Promise<Result<EndedFeed, EndFeedError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'feed.write', { clinicId, clinicianId })) return err({ code: 'clinician_not_found' })
  return once<EndedFeed, Refusal>(ctx, { key, kind: 'end_feed' }, async (tx) => {
    if (!(await endLiveFeed(tx, clinicId, clinicianId, now))) return err({ code: 'no_feed' })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'feed.ended',
      subject: clinicianId,
      after: { clinicianId },
    })
    return ok({ clinicianId })
  })
}
