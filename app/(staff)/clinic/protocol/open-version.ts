/** Opens the version that an address names, for every page of it. */
import { notFound } from 'next/navigation'
import { type StaffCtx, signedInStaff, staffContext } from '#app/_server/staff-page.ts'
import type { Action } from '#lib/domain/access/policy.ts'
import { MATRIX } from '#lib/domain/access/policy.ts'
import { type ProtocolView, readProtocol } from '#lib/usecases/read-protocol.ts'

export type OpenVersion = ProtocolView & { ctx: StaffCtx; timeZone: string; mayWrite: boolean }

export async function openVersion(
  params: { id: string; version: string },
  action: Action = 'protocol.read',
): Promise<OpenVersion> {
  const ctx = await staffContext(action)
  const read = /^[1-9]\d{0,8}$/.test(params.version)
    ? await readProtocol(ctx, { id: params.id, version: Number(params.version) })
    : null
  if (!read?.ok) notFound()
  const { clinic } = await signedInStaff()
  const mayWrite = read.value.version.status === 'draft' && MATRIX['protocol.write'][ctx.actor.role] !== 'never'
  return { ...read.value, ctx, timeZone: clinic.timeZone, mayWrite }
}
