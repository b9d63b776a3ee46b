/**
 * Adds an account, changes one, closes one or opens it again. None is deleted: the audit names it. A new passphrase or an
 * account that closes ends every browser they are signed in with.
 */
import { recordAudit } from '#db/queries/audit.ts'
import { listClinicians } from '#db/queries/people.ts'
import { endSessionsOf, lockAccounts, writeAccount } from '#db/queries/staff.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { MATRIX, may } from '#lib/domain/access/policy.ts'
import { type AccountFault, type RawAccount, readAccount } from '#lib/domain/staffing/account-draft.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'

export type SaveAccountInput = {
  key: string
  /** Null = a new one. */
  accountId: string | null
  deed: { kind: 'write'; raw: RawAccount } | { kind: 'close' } | { kind: 'reopen' }
}
export type SavedAccount = { accountId: string }
type Refusal =
  | { code: 'not_allowed' }
  | { code: 'not_found' }
  | { code: 'faults'; faults: readonly AccountFault[] }
  | { code: 'email_taken' }
  /** Nobody would be left who may keep the accounts. */
  | { code: 'last_keeper' }
export type SaveAccountError = Refusal | Repeated

export async function saveAccount(
  ctx: Ctx,
  { key, accountId, deed }: SaveAccountInput,
): Promise<Result<SavedAccount, SaveAccountError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'account.write', { clinicId })) return err({ code: 'not_allowed' })
  const clinicians = deed.kind === 'write' ? await listClinicians(ctx.db, clinicId) : []
  const read = deed.kind === 'write' ? readAccount(deed.raw, new Set(clinicians.map(({ id }) => id))) : null
  if (read && !read.ok) return err({ code: 'faults', faults: read.error })
  const passphrase = read?.value.passphrase ?? null
  // Hashing takes its time by design; not inside the transaction.
  const passwordHash = passphrase === null ? null : await ctx.secrets.hashPassword(passphrase)

  return once<SavedAccount, Refusal>(
    ctx,
    { key, kind: 'save_account' },
    async (tx) => {
      const accounts = await lockAccounts(tx, clinicId)
      const kept = accounts.find(({ id }) => id === accountId) ?? null
      if (accountId !== null && !kept) return err({ code: 'not_found' })
      const draft = read?.value ?? kept
      if (!draft) return err({ code: 'not_found' })
      const { name, email, role, clinicianId } = draft
      const isActive = deed.kind === 'close' ? false : deed.kind === 'reopen' ? true : (kept?.isActive ?? true)
      const id = accountId ?? ctx.newId('stf')
      const account = { id, name, email, role, clinicianId, isActive }
      const after = [...accounts.filter((other) => other.id !== id), account]
      if (!after.some((one) => one.isActive && MATRIX['account.write'][one.role] !== 'never'))
        return err({ code: 'last_keeper' })

      await writeAccount(tx, clinicId, account, { passwordHash, at: now })
      if (kept && (passwordHash !== null || !isActive)) await endSessionsOf(tx, clinicId, id, now)
      const done = { write: kept ? 'changed' : 'added', close: 'closed', reopen: 'reopened' }[deed.kind]
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: `account.${done}`,
        subject: id,
        before: kept && { ...kept },
        after: { ...account, hasNewPassphrase: passwordHash !== null },
      })
      return ok({ accountId: id })
    },
    { staff_email_key: { code: 'email_taken' } },
  )
}
