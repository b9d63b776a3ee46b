/**
 * A patient closes their page on this device, such as a library's or a daughter's. The session ends for every copy of its
 * cookie (ASVS 5.0 7.4.1); the link still opens a new one.
 */
import { recordAudit } from '#db/queries/audit.ts'
import { endPatientSession, findPatientSession } from '#db/queries/links.ts'
import { ok, type Result } from '#lib/base/result.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

/** `ctx.actor` is the clinic of the cookie. A session that is over already is no mistake. */
export async function closePatientSession(ctx: Ctx, sessionToken: string): Promise<Result<null, never>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<null, never>(ctx, async (tx) => {
    const session = await findPatientSession(tx, clinicId, ctx.secrets.hashToken(sessionToken))
    if (!session) return ok(null)
    await endPatientSession(tx, clinicId, session.id, now)
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: { kind: 'patient', clinicId, id: session.patientId, referralId: session.referralId },
      action: 'link.closed',
      subject: session.id,
      referralId: session.referralId,
    })
    return ok(null)
  })
}
