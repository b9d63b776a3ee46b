/** Begins a draft of the next version, from the version in force. There is one draft of a protocol at a time. */
import { recordAudit } from '#db/queries/audit.ts'
import { findVersion, insertDraft, listVersions } from '#db/queries/protocols.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { protocolSchema } from '#lib/domain/protocol/schema.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export type StartDraftInput = { id: string }
export type StartDraftError = { code: 'not_allowed' } | { code: 'not_found' } | { code: 'draft_there' }

export async function startDraft(
  ctx: Ctx,
  { id }: StartDraftInput,
): Promise<Result<{ version: number }, StartDraftError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'protocol.write', { clinicId })) return err({ code: 'not_allowed' })
  return inTransaction<{ version: number }, StartDraftError>(
    ctx,
    async (tx) => {
      const own = (await listVersions(tx, clinicId)).filter((each) => each.id === id)
      if (own.some(({ status }) => status === 'draft')) return err({ code: 'draft_there' })
      const inForce = own.find(({ status }) => status === 'signed_off')
      const stored = inForce && (await findVersion(tx, { clinicId, id, version: inForce.version }))
      if (!inForce || !stored) return err({ code: 'not_found' })
      const version = Math.max(...own.map((each) => each.version)) + 1
      await insertDraft(tx, { clinicId, id, version }, { ...protocolSchema.parse(stored.document), version })
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'protocol.draft_started',
        subject: `${id} ${version}`,
        after: { from: inForce.version },
      })
      return ok({ version })
    },
    { protocols_clinic_id_id_version_pk: { code: 'draft_there' } },
  )
}
