/** Somebody signed in gives themselves a new passphrase. Every browser they are signed in with has to sign in again. */
import { recordAudit } from '#db/queries/audit.ts'
import { countAndCheck, giveBack } from '#db/queries/rate.ts'
import { endSessionsOf, findPasswordHash, setPasswordHash } from '#db/queries/staff.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { PASSPHRASE_MAX, type PassphraseFault, passphraseFault } from '#lib/domain/access/passphrase.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export type ChangePassphraseInput = { current: string; next: string; repeated: string }
export type ChangePassphraseError =
  | { code: 'not_allowed' }
  /** They sign in through their organisation. */
  | { code: 'has_none' }
  | { code: 'weak'; fault: PassphraseFault }
  | { code: 'not_the_same' }
  | { code: 'wrong_current' }
  | { code: 'too_many_tries' }

/** Wrong tries in a quarter of an hour, as when signing in. */
const WINDOW_SEC = 15 * 60
const LIMIT = 10

export async function changePassphrase(
  ctx: Ctx,
  { current, next, repeated }: ChangePassphraseInput,
): Promise<Result<null, ChangePassphraseError>> {
  const now = ctx.now()
  const { clinicId, id } = ctx.actor
  if (ctx.actor.kind !== 'staff' || !may(ctx.actor, 'passphrase.write', { clinicId }))
    return err({ code: 'not_allowed' })
  const fault = passphraseFault(next)
  if (fault !== null) return err({ code: 'weak', fault })
  if (next !== repeated) return err({ code: 'not_the_same' })
  const hash = await findPasswordHash(ctx.db, clinicId, id)
  if (hash === null) return err({ code: 'has_none' })
  const rate = { clinicId, bucket: `passphrase:${id}`, windowSec: WINDOW_SEC, limit: LIMIT, now }
  if (!(await countAndCheck(ctx.db, rate))) return err({ code: 'too_many_tries' })
  const isRight = current.length <= PASSPHRASE_MAX * 4 && (await ctx.secrets.verifyPassword(hash, current))
  if (!isRight) return err({ code: 'wrong_current' })
  await giveBack(ctx.db, rate)
  const passwordHash = await ctx.secrets.hashPassword(next)
  return inTransaction<null, ChangePassphraseError>(ctx, async (tx) => {
    await setPasswordHash(tx, clinicId, id, passwordHash)
    await endSessionsOf(tx, clinicId, id, now)
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'account.passphrase_changed',
      subject: id,
    })
    return ok(null)
  })
}
