/**
 * A member of staff whom the organisation's own sign-in vouches for. It names a person by their verified e-mail; the
 * account must already be here. Where the address has accounts in several clinics nobody is guessed.
 */
import { z } from 'zod'
import { listStaffByEmail } from '#db/queries/staff.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { beginStaffSession, type SessionHandle } from './steps/begin-staff-session.ts'

export const singleSignOnInput = z.object({ email: z.string().trim().toLowerCase().min(3).max(320) })
export type SingleSignOnInput = z.output<typeof singleSignOnInput>

export type SingleSignOnError = { code: 'no_account' } | { code: 'several_accounts' }

export async function signInBySingleSignOn(
  ctx: Omit<Ctx, 'actor'>,
  { email }: SingleSignOnInput,
): Promise<Result<SessionHandle, SingleSignOnError>> {
  const now = ctx.now()
  return inTransaction<SessionHandle, SingleSignOnError>(ctx, async (tx) => {
    const [person, ...others] = await listStaffByEmail(tx, email)
    if (!person) return err({ code: 'no_account' })
    if (others.length > 0) return err({ code: 'several_accounts' })
    return ok(
      await beginStaffSession(tx, ctx, { clinicId: person.clinicId, staffId: person.id, now, by: 'single_sign_on' }),
    )
  })
}
