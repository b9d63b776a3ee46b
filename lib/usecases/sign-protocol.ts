/**
 * The clinic's licensed lead signs a draft off. From then on new triages use it and its words can't change any more;
 * referrals and visits that are under way keep the version they were triaged with.
 */
import { recordAudit } from '#db/queries/audit.ts'
import { findVersionForUpdate, signOffVersion } from '#db/queries/protocols.ts'
import { countAndCheck, giveBack } from '#db/queries/rate.ts'
import { findPasswordHash, listAccounts } from '#db/queries/staff.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { PASSPHRASE_MAX } from '#lib/domain/access/passphrase.ts'
import { may } from '#lib/domain/access/policy.ts'
import { faultsOf } from '#lib/domain/versions/edit.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'

export type SignProtocolInput = {
  key: string
  id: string
  version: number
  mark: string
  name: string
  licence: string
  statement: string
  isAgreed: boolean
  passphrase: string
}
type Refusal =
  | { code: 'not_allowed' }
  | { code: 'not_found' }
  | { code: 'not_a_draft' }
  | { code: 'changed_meanwhile' }
  | { code: 'has_faults'; count: number }
  | { code: 'not_signed'; missing: readonly ('name' | 'licence' | 'agreed')[] }
  | { code: 'wrong_passphrase' }
  | { code: 'too_many_tries' }
export type SignProtocolError = Refusal | Repeated

/** Wrong tries in a quarter of an hour, counted together with those of changing the passphrase. */
const WINDOW_SEC = 15 * 60
const LIMIT = 10
const LICENCE_MIN = 3

export async function signProtocol(
  ctx: Ctx,
  input: SignProtocolInput,
): Promise<Result<{ version: number }, SignProtocolError>> {
  const now = ctx.now()
  const { clinicId, id: staffId } = ctx.actor
  const { key, id, version, mark, licence, statement } = input
  if (!may(ctx.actor, 'protocol.sign', { clinicId })) return err({ code: 'not_allowed' })
  const account = (await listAccounts(ctx.db, clinicId)).find((one) => one.id === staffId)
  if (!account) return err({ code: 'not_allowed' })
  const missing = [
    ...(sameName(input.name, account.name) ? [] : ['name' as const]),
    ...(licence.trim().length >= LICENCE_MIN ? [] : ['licence' as const]),
    ...(input.isAgreed ? [] : ['agreed' as const]),
  ]
  if (missing.length > 0) return err({ code: 'not_signed', missing })
  const hash = await findPasswordHash(ctx.db, clinicId, staffId)
  if (hash !== null) {
    const rate = { clinicId, bucket: `passphrase:${staffId}`, windowSec: WINDOW_SEC, limit: LIMIT, now }
    if (!(await countAndCheck(ctx.db, rate))) return err({ code: 'too_many_tries' })
    const { passphrase } = input
    // Checking takes its time by design; not inside the transaction.
    const isRight = passphrase.length <= PASSPHRASE_MAX * 4 && (await ctx.secrets.verifyPassword(hash, passphrase))
    if (!isRight) return err({ code: 'wrong_passphrase' })
    await giveBack(ctx.db, rate)
  }

  return once<{ version: number }, Refusal>(ctx, { key, kind: 'sign_protocol' }, async (tx) => {
    const stored = await findVersionForUpdate(tx, { clinicId, id, version })
    if (!stored) return err({ code: 'not_found' })
    if (stored.status !== 'draft') return err({ code: 'not_a_draft' })
    if (stored.mark !== mark) return err({ code: 'changed_meanwhile' })
    const faults = faultsOf(stored.document)
    if (faults.length > 0) return err({ code: 'has_faults', count: faults.length })
    await signOffVersion(tx, { clinicId, id, version }, { id: staffId, at: now })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'protocol.signed_off',
      subject: `${id} ${version}`,
      after: { name: account.name, licence: licence.trim(), statement, mark },
    })
    return ok({ version })
  })
}

function sameName(a: string, b: string): boolean {
  const plain = (name: string) => name.trim().replace(/\s+/g, ' ').toLowerCase()
  return plain(a) === plain(b)
}
