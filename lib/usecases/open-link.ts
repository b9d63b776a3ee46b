/**
 * A patient opens their personal link: the link and the date of birth together.
 * After too many wrong dates the link is locked and the clinic's phone number
 * is the way on. Unknown, foreign, ended and expired links look the same.
 * Tries are counted by link and, for somebody who tries many links, by caller.
 */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { clearWrongTries, countWrongTry, findLinkForUpdate, insertPatientSession } from '#db/queries/links.ts'
import { countAndCheck, giveBack } from '#db/queries/rate.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export const openLinkInput = z.object({
  token: z.string().min(1).max(200),
  birthDate: z.iso.date(),
  /** Where the request came from, as far as the server in front of us says. */
  from: z.string().max(100).nullable(),
})
export type OpenLinkInput = z.output<typeof openLinkInput>

export type OpenedLink = { sessionToken: string; referralId: string }
export type OpenLinkError =
  | { code: 'link_unknown' }
  | { code: 'link_locked' }
  | { code: 'birth_date_wrong'; triesLeft: number }
  | { code: 'too_many_tries' }

/** Failures by one caller in a quarter of an hour. A household or a waiting room may share one connection. */
const WINDOW_SEC = 15 * 60
const PER_CALLER = 30

/** `ctx.actor` is the clinic's system actor: nobody is known yet. */
export async function openLink(
  ctx: Ctx,
  { token, birthDate, from }: OpenLinkInput,
): Promise<Result<OpenedLink, OpenLinkError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const rate = { clinicId, bucket: `link:${ctx.secrets.hashText(from ?? '')}`, windowSec: WINDOW_SEC, now }
  // Without a known caller everybody would share one counter, and one stranger could lock all patients out.
  if (from !== null && !(await countAndCheck(ctx.db, { ...rate, limit: PER_CALLER })))
    return err({ code: 'too_many_tries' })
  // A wrong try must be counted even though it is refused, so refusals leave the transaction as a value.
  const outcome = await inTransaction<Result<OpenedLink, OpenLinkError>, never>(ctx, async (tx) => {
    const { policy } = await getClinic(tx, clinicId)
    const link = await findLinkForUpdate(tx, clinicId, ctx.secrets.hashToken(token))
    if (!link || link.revokedAt !== null || Temporal.Instant.compare(link.expiresAt, now) <= 0)
      return ok(err({ code: 'link_unknown' }))
    if (link.failedTries >= policy.links.wrongTries) return ok(err({ code: 'link_locked' }))
    if (link.birthDate !== birthDate) {
      await countWrongTry(tx, clinicId, link.id)
      const triesLeft = policy.links.wrongTries - link.failedTries - 1
      const locked = triesLeft === 0
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: locked ? 'link.locked' : 'link.refused',
        subject: link.id,
        referralId: link.referralId,
      })
      return ok(err(locked ? { code: 'link_locked' } : { code: 'birth_date_wrong', triesLeft }))
    }
    const sessionToken = ctx.secrets.newToken()
    await clearWrongTries(tx, clinicId, link.id)
    await insertPatientSession(tx, {
      clinicId,
      id: ctx.newId('pse'),
      linkId: link.id,
      tokenHash: ctx.secrets.hashToken(sessionToken),
      createdAt: now,
      lastSeenAt: now,
    })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: { kind: 'patient', clinicId, id: link.patientId, referralId: link.referralId },
      action: 'link.opened',
      subject: link.id,
      referralId: link.referralId,
    })
    return ok(ok({ sessionToken, referralId: link.referralId }))
  })
  if (!outcome.ok) return outcome
  if (outcome.value.ok && from !== null) await giveBack(ctx.db, rate)
  return outcome.value
}
