/** Drops the draft of a protocol. Nobody was examined by it; its whole text stays in the audit. */
import { recordAudit } from '#db/queries/audit.ts'
import { deleteDraft, findVersionForUpdate, listVersions } from '#db/queries/protocols.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'

export type DropDraftInput = { key: string; id: string; version: number; mark: string }
type Refusal =
  | { code: 'not_allowed' }
  | { code: 'not_found' }
  | { code: 'not_a_draft' }
  | { code: 'changed_meanwhile' }
  /** Nothing was ever signed off: without the draft there would be no protocol. */
  | { code: 'only_one' }
export type DropDraftError = Refusal | Repeated

export async function dropDraft(
  ctx: Ctx,
  { key, id, version, mark }: DropDraftInput,
): Promise<Result<{ version: number }, DropDraftError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'protocol.write', { clinicId })) return err({ code: 'not_allowed' })
  return once<{ version: number }, Refusal>(ctx, { key, kind: 'drop_draft' }, async (tx) => {
    const stored = await findVersionForUpdate(tx, { clinicId, id, version })
    if (!stored) return err({ code: 'not_found' })
    if (stored.status !== 'draft') return err({ code: 'not_a_draft' })
    if (stored.mark !== mark) return err({ code: 'changed_meanwhile' })
    const others = (await listVersions(tx, clinicId)).filter((one) => one.id === id && one.version !== version)
    if (others.length === 0) return err({ code: 'only_one' })
    await deleteDraft(tx, { clinicId, id, version })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'protocol.draft_dropped',
      subject: `${id} ${version}`,
      before: { document: stored.document },
    })
    return ok({ version })
  })
}
