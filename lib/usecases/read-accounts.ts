/** Who can sign in, for those who keep the accounts. */
import { type KeptClinician, listClinicians } from '#db/queries/people.ts'
import { type AccountLine, listAccounts } from '#db/queries/staff.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'

export type AccountsView = {
  accounts: (Omit<AccountLine, 'lastSeenAt'> & { clinicianName: string | null; lastSeenAt: string | null })[]
  clinicians: Pick<KeptClinician, 'id' | 'name' | 'isActive'>[]
}

export async function readAccounts(ctx: Ctx): Promise<Result<AccountsView, { code: 'not_allowed' }>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'account.write', { clinicId })) return err({ code: 'not_allowed' })
  const [accounts, clinicians] = await Promise.all([listAccounts(ctx.db, clinicId), listClinicians(ctx.db, clinicId)])
  return ok({
    accounts: accounts.map((account) => ({
      ...account,
      lastSeenAt: account.lastSeenAt?.toString() ?? null,
      clinicianName: clinicians.find(({ id }) => id === account.clinicianId)?.name ?? null,
    })),
    clinicians: clinicians.map(({ id, name, isActive }) => ({ id, name, isActive })),
  })
}
