/** A member of staff signs out. The row ends, not only the cookie (ASVS 5.0 7.4.1); a second press changes nothing. */
import { recordAudit } from '#db/queries/audit.ts'
import { endStaffSession } from '#db/queries/staff.ts'
import { ok, type Result } from '#lib/base/result.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export type EndSessionInput = { sessionId: string }

export async function endSession(ctx: Ctx, { sessionId }: EndSessionInput): Promise<Result<{ ended: boolean }, never>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<{ ended: boolean }, never>(ctx, async (tx) => {
    const ended = await endStaffSession(tx, clinicId, sessionId, now)
    if (ended) {
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'staff.signed_out',
        subject: ctx.actor.id,
      })
    }
    return ok({ ended })
  })
}
