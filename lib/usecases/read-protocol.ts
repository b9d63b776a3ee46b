/** The protocol desk: which versions there are, and one of them with what is wrong with it and what it is compared to. */
import { listDeeds } from '#db/queries/audit.ts'
import { findVersion, listVersions, type VersionLine } from '#db/queries/protocols.ts'
import { findPasswordHash } from '#db/queries/staff.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { ProtocolFault } from '#lib/domain/protocol/load.ts'
import { type Protocol, protocolSchema } from '#lib/domain/protocol/schema.ts'
import { faultsOf } from '#lib/domain/versions/edit.ts'
import type { Ctx } from './context.ts'

export type VersionView = Omit<VersionLine, 'signedOffAt'> & {
  signedOffAt: string | null
  isInForce: boolean
  /** What was said at sign-off; null where it was signed off when the clinic was set up. */
  statement: string | null
  licence: string | null
}

export type ProtocolView = {
  version: VersionView
  protocol: Protocol
  mark: string
  faults: ProtocolFault[]
  /** What it is compared to: for a draft the version in force, else the one before it. */
  base: Protocol | null
  draft: number | null
}

/** Every version of every protocol, the newest first. */
export async function readProtocols(ctx: Ctx): Promise<Result<VersionView[], { code: 'not_allowed' }>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'protocol.read', { clinicId })) return err({ code: 'not_allowed' })
  const [versions, signed] = await Promise.all([
    listVersions(ctx.db, clinicId),
    listDeeds(ctx.db, clinicId, 'protocol.signed_off'),
  ])
  return ok(
    versions.map((one) => {
      const said = signed.find(({ subject }) => subject === `${one.id} ${one.version}`)?.after as
        | { statement: string; licence: string }
        | undefined
      const newest = versions.find(({ id, status }) => id === one.id && status === 'signed_off')
      return {
        ...one,
        signedOffAt: one.signedOffAt?.toString() ?? null,
        isInForce: newest?.version === one.version,
        statement: said?.statement ?? null,
        licence: said?.licence ?? null,
      }
    }),
  )
}

export async function readProtocol(
  ctx: Ctx,
  { id, version }: { id: string; version: number },
): Promise<Result<ProtocolView, { code: 'not_allowed' } | { code: 'not_found' }>> {
  const { clinicId } = ctx.actor
  const all = await readProtocols(ctx)
  if (!all.ok) return all
  const own = all.value.filter((each) => each.id === id)
  const line = own.find((each) => each.version === version)
  const stored = await findVersion(ctx.db, { clinicId, id, version })
  if (!line || !stored) return err({ code: 'not_found' })
  const baseLine =
    line.status === 'draft'
      ? own.find(({ isInForce }) => isInForce)
      : own.find((each) => each.version < version && each.status !== 'draft')
  const base = baseLine ? await findVersion(ctx.db, { clinicId, id, version: baseLine.version }) : null
  return ok({
    version: line,
    protocol: protocolSchema.parse(stored.document),
    mark: stored.mark,
    faults: faultsOf(stored.document),
    base: base && protocolSchema.parse(base.document),
    draft: own.find(({ status }) => status === 'draft')?.version ?? null,
  })
}

/** Whether somebody signs with their passphrase too, or with their name alone because they have none here. */
export async function hasPassphrase(ctx: Ctx): Promise<boolean> {
  return (await findPasswordHash(ctx.db, ctx.actor.clinicId, ctx.actor.id)) !== null
}
