/**
 * Makes the address of a clinician's calendar feed, or a new one in place of the old, which ends in the same moment. The
 * secret is told once, here; only its hash is kept.
 */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { endFeed, insertFeed, listFeeds } from '#db/queries/feeds.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'

export const renewFeedInput = z.object({ key: z.string().min(8), clinicianId: z.string() })
export type RenewFeedInput = z.output<typeof renewFeedInput>

/** The path of the new address; null when this very command was carried out before: it is told only once. */
export type RenewedFeed = { feedId: string; path: string | null }
type Refusal =
  | { code: 'clinician_not_found' }
  /** Somebody else made one at the same moment. */
  | { code: 'changed_meanwhile' }
export type RenewFeedError = Refusal | Repeated

export async function renewFeed(
  ctx: Ctx,
  { key, clinicianId }: RenewFeedInput,
): Promise<Result<RenewedFeed, RenewFeedError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'feed.write', { clinicId, clinicianId })) return err({ code: 'clinician_not_found' })
  const token = ctx.secrets.newToken()
  const feedId = ctx.newId('fed')
  let path: string | null = null

  // The answer that is kept for a repeat holds no secret.
  const result = await once<{ feedId: string }, Refusal>(
    ctx,
    { key, kind: 'renew_feed' },
    async (tx) => {
      const [clinician] = await listFeeds(tx, clinicId, clinicianId)
      if (!clinician) return err({ code: 'clinician_not_found' })
      const clinic = await getClinic(tx, clinicId)
      const isRenewed = await endFeed(tx, clinicId, clinicianId, now)
      const tokenHash = ctx.secrets.hashToken(token)
      await insertFeed(tx, { clinicId, id: feedId, clinicianId, tokenHash, createdAt: now, createdBy: ctx.actor.id })
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: isRenewed ? 'feed.renewed' : 'feed.made',
        subject: feedId,
        after: { clinicianId },
      })
      path = `/feeds/${clinic.slug}/${token}.ics`
      return ok({ feedId })
    },
    { calendar_feeds_one_live: { code: 'changed_meanwhile' } },
  )
  return result.ok ? ok({ ...result.value, path: result.value.feedId === feedId ? path : null }) : result
}
