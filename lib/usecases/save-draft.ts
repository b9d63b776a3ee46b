/**
 * Changes the draft of a protocol: what a form says, a whole document, a station retired, a change taken back. Whoever
 * looked at another document than the one that stands there now is told, and nothing of theirs is written.
 */
import { recordAudit } from '#db/queries/audit.ts'
import { findVersion, findVersionForUpdate, listVersions, writeDraft } from '#db/queries/protocols.ts'
import { invariant } from '#lib/base/invariant.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { ProtocolFault } from '#lib/domain/protocol/load.ts'
import { type Protocol, protocolSchema } from '#lib/domain/protocol/schema.ts'
import { groupKeyOf } from '#lib/domain/versions/change-words.ts'
import { applyChanges, diffOf, undoing } from '#lib/domain/versions/diff.ts'
import { type FieldFault, faultsOf, readDocument, retireStation, writeFields } from '#lib/domain/versions/edit.ts'
import { fieldsOf, figureFields } from '#lib/domain/versions/fields.ts'
import type { Part } from '#lib/domain/versions/parts.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'

export type DraftEdit =
  /** Null part: the figures. */
  | { kind: 'fields'; part: Part | null; thingId: string; typed: Record<string, string> }
  | { kind: 'document'; text: string }
  | { kind: 'retire'; stationId: string }
  | { kind: 'take_back'; group: string }

export type SaveDraftInput = { key: string; id: string; version: number; mark: string; edit: DraftEdit }
export type SavedDraft = { changes: number; faults: number }
type Refusal =
  | { code: 'not_allowed' }
  | { code: 'not_found' }
  | { code: 'not_a_draft' }
  | { code: 'changed_meanwhile' }
  | { code: 'field_faults'; faults: FieldFault[] }
  | { code: 'document_faults'; faults: ProtocolFault[] }
  /** No other station is left, or nothing of that name differs. */
  | { code: 'nothing_left' }
export type SaveDraftError = Refusal | Repeated

export async function saveDraft(
  ctx: Ctx,
  { key, id, version, mark, edit }: SaveDraftInput,
): Promise<Result<SavedDraft, SaveDraftError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'protocol.write', { clinicId })) return err({ code: 'not_allowed' })
  return once<SavedDraft, Refusal>(ctx, { key, kind: 'save_draft' }, async (tx) => {
    const stored = await findVersionForUpdate(tx, { clinicId, id, version })
    if (!stored) return err({ code: 'not_found' })
    if (stored.status !== 'draft') return err({ code: 'not_a_draft' })
    if (stored.mark !== mark) return err({ code: 'changed_meanwhile' })
    const before = protocolSchema.parse(stored.document)
    const written = edit.kind === 'take_back' ? await takenBack(edit.group) : editedBy(edit, before)
    if (!written.ok) return written
    const after = written.value
    invariant(after.id === id && after.version === version, 'a draft stays the version that it is')
    const changes = diffOf(before, after)
    if (changes.length > 0) {
      await writeDraft(tx, { clinicId, id, version }, after)
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'protocol.draft_changed',
        subject: `${id} ${version}`,
        after: { by: edit.kind, changes },
      })
    }
    return ok({ changes: changes.length, faults: faultsOf(after).length })

    /** One thing as it stands in the version in force. */
    async function takenBack(group: string): Promise<Result<Protocol, Refusal>> {
      const inForce = (await listVersions(tx, clinicId)).find((one) => one.id === id && one.status === 'signed_off')
      const base = inForce && (await findVersion(tx, { clinicId, id, version: inForce.version }))
      if (!base) return err({ code: 'nothing_left' })
      const own = diffOf(base.document, before).filter((change) => groupKeyOf(change) === group)
      if (own.length === 0 || group === 'version') return err({ code: 'nothing_left' })
      return ok(protocolSchema.parse(applyChanges(before, undoing(own))))
    }
  })
}

function editedBy(edit: Exclude<DraftEdit, { kind: 'take_back' }>, before: Protocol): Result<Protocol, Refusal> {
  switch (edit.kind) {
    case 'fields': {
      const groups = edit.part === null ? figureFields(before) : fieldsOf(before, edit.part, edit.thingId)
      if (!groups) return err({ code: 'not_found' })
      const written = writeFields(
        before,
        groups.flatMap(({ fields }) => fields),
        edit.typed,
      )
      return written.ok ? written : err({ code: 'field_faults', faults: written.error })
    }
    case 'retire':
      if (!before.stations.some(({ id }) => id === edit.stationId)) return err({ code: 'not_found' })
      if (before.stations.length === 1) return err({ code: 'nothing_left' })
      return ok(retireStation(before, edit.stationId))
    case 'document': {
      const read = readDocument(edit.text, before)
      return read.ok ? read : err({ code: 'document_faults', faults: read.error })
    }
  }
}
