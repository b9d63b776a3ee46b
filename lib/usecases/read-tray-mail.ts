/** One mail of the tray, as the patient gets it. */
import { getClinic } from '#db/queries/clinics.ts'
import { findTrayRow } from '#db/queries/messages.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { TrayMail, TrayPort } from '#lib/domain/messages/mail.ts'
import type { Ctx } from './context.ts'
import { type TrayLine, trayLine } from './read-tray.ts'

/** `mail` is null while it has not gone, and when it went out by a mail server. */
export type OpenedTrayMail = { timeZone: string; line: TrayLine; mail: TrayMail | null }
export type ReadTrayMailError = { code: 'message_not_found' }

export async function readTrayMail(
  ctx: Ctx,
  tray: TrayPort,
  { messageId }: { messageId: string },
): Promise<Result<OpenedTrayMail, ReadTrayMailError>> {
  const { clinicId } = ctx.actor
  const row = may(ctx.actor, 'tray.read', { clinicId }) ? await findTrayRow(ctx.db, clinicId, messageId) : null
  if (!row) return err({ code: 'message_not_found' })
  const { timeZone } = await getClinic(ctx.db, clinicId)
  return ok({ timeZone, line: trayLine(ctx, row), mail: await tray.read(row.id) })
}
