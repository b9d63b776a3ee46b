/**
 * A member of staff signs in with e-mail and passphrase. An address nobody has, an account that was closed and a wrong
 * passphrase get the same answer after the same work, so that nobody learns who works here (ASVS 5.0 6.3.8).
 */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { countAndCheck, giveBack } from '#db/queries/rate.ts'
import { findStaffByEmail } from '#db/queries/staff.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { PASSPHRASE_MAX } from '#lib/domain/access/passphrase.ts'
import type { Ctx, SecretPort } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { beginStaffSession, type SessionHandle } from './steps/begin-staff-session.ts'

export const signInInput = z.object({
  clinicId: z.string().min(1),
  email: z.string().trim().toLowerCase().min(3).max(320),
  passphrase: z
    .string()
    .min(1)
    .max(PASSPHRASE_MAX * 4),
  /** Where the request came from, as far as the server in front of us says. */
  from: z.string().max(100).nullable(),
})
export type SignInInput = z.output<typeof signInInput>

export type SignInError = { code: 'not_recognised' } | { code: 'too_many_tries' }

/** Failures in a quarter of an hour; NIST SP 800-63B-4 section 3.2.2 allows at most 100 in a row. */
const WINDOW_SEC = 15 * 60
const PER_ADDRESS = 10
/** Many people may sit behind one connection. */
const PER_ORIGIN = 60

/** Nobody is known yet, so the context has no actor. */
export async function signIn(ctx: Omit<Ctx, 'actor'>, input: SignInInput): Promise<Result<SessionHandle, SignInError>> {
  const now = ctx.now()
  const { clinicId, email, passphrase, from } = input
  const rates = [
    { clinicId, bucket: `sign-in:${ctx.secrets.hashText(email)}`, windowSec: WINDOW_SEC, limit: PER_ADDRESS },
    ...(from
      ? [
          {
            clinicId: '-',
            bucket: `sign-in-from:${ctx.secrets.hashText(from)}`,
            windowSec: WINDOW_SEC,
            limit: PER_ORIGIN,
          },
        ]
      : []),
  ]
  for (const rate of rates) {
    if (!(await countAndCheck(ctx.db, { ...rate, now }))) return err({ code: 'too_many_tries' })
  }

  const person = await findStaffByEmail(ctx.db, clinicId, email)
  const hash = person?.passwordHash ?? (await hashOfNobody(ctx.secrets))
  const isRight = await ctx.secrets.verifyPassword(hash, passphrase)
  if (!person?.passwordHash || !isRight) {
    const refusal: SignInError = { code: 'not_recognised' }
    // The line of the record must stay, so the refusal is not the transaction's error. A clinic that is not there has none.
    await inTransaction<null, SignInError>(
      ctx,
      async (tx) => {
        await recordAudit(tx, {
          id: ctx.newId('aud'),
          at: now,
          actor: { kind: 'system', clinicId, id: 'system' },
          action: 'staff.sign_in_refused',
          subject: person?.id ?? 'unknown',
        })
        return ok(null)
      },
      { audit_events_clinic_fk: refusal },
    )
    return err(refusal)
  }

  for (const rate of rates) await giveBack(ctx.db, { ...rate, now })
  return inTransaction<SessionHandle, SignInError>(ctx, async (tx) =>
    ok(await beginStaffSession(tx, ctx, { clinicId, staffId: person.id, now, by: 'passphrase' })),
  )
}

/** Something to compare with where there is nobody: the same work, made once. */
let nobody: Promise<string> | undefined
function hashOfNobody(secrets: SecretPort): Promise<string> {
  nobody ??= secrets.hashPassword(secrets.newToken())
  return nobody
}
