/** The clinic's outgoing mail: what went, what is still to go, and what could not. */

import { getClinic } from '#db/queries/clinics.ts'
import { countTray, listTray, type TrayRow } from '#db/queries/messages.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'

export type TrayStatus = TrayRow['status']
export type ReadTrayInput = { show: TrayStatus | null }

export type TrayLine = {
  messageId: string
  kind: TrayRow['kind']
  status: TrayStatus
  /** When it went; for the others, when it is or was due. ISO. */
  at: string
  fault: string | null
  patientName: string
  /** Null for those who may see the mail but not the referral. */
  referralId: string | null
}
export type Tray = { timeZone: string; counts: Record<TrayStatus, number>; lines: TrayLine[]; isCut: boolean }
export type ReadTrayError = { code: 'not_allowed' }

const PAGE = 200

export async function readTray(ctx: Ctx, { show }: ReadTrayInput): Promise<Result<Tray, ReadTrayError>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'tray.read', { clinicId })) return err({ code: 'not_allowed' })
  const { timeZone } = await getClinic(ctx.db, clinicId)
  const rows = await listTray(ctx.db, clinicId, show, PAGE + 1)
  return ok({
    timeZone,
    counts: await countTray(ctx.db, clinicId),
    lines: rows.slice(0, PAGE).map((row) => trayLine(ctx, row)),
    isCut: rows.length > PAGE,
  })
}

/** As one line of the tray. */
export function trayLine(
  ctx: Ctx,
  { id, kind, status, fault, patientName, referralId, sentAt, dueAt }: TrayRow,
): TrayLine {
  const mayOpen = may(ctx.actor, 'referral.read', { clinicId: ctx.actor.clinicId, referralId })
  return {
    messageId: id,
    kind,
    status,
    fault,
    patientName,
    referralId: mayOpen ? referralId : null,
    at: (sentAt ?? dueAt).toString(),
  }
}
