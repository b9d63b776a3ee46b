/** The end of every way of signing in: a session row of its own (a new token at each sign-in, ASVS 5.0 7.2.4) and its audit line. */
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { insertStaffSession } from '#db/queries/staff.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { Ctx } from '../context.ts'

/** What the browser's cookie names. It says nothing by itself: role and limits are read at each request. */
export type SessionHandle = { clinicId: string; staffId: string; sessionId: string }

export async function beginStaffSession(
  tx: Db,
  ctx: Omit<Ctx, 'actor'>,
  {
    clinicId,
    staffId,
    now,
    by,
  }: { clinicId: string; staffId: string; now: Temporal.Instant; by: 'passphrase' | 'single_sign_on' },
): Promise<SessionHandle> {
  const sessionId = ctx.newId('ses')
  await insertStaffSession(tx, { clinicId, id: sessionId, staffId, createdAt: now, lastSeenAt: now, endedAt: null })
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: { kind: 'system', clinicId, id: 'system' },
    action: 'staff.signed_in',
    subject: staffId,
    after: { by },
  })
  return { clinicId, staffId, sessionId }
}
