/** A message that will never arrive becomes a phone call: the patient still has to be told. */

import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { settleMessages } from '#db/queries/messages.ts'
import type { MessageKind } from '#lib/domain/messages/kinds.ts'
import type { Ctx } from '../context.ts'
import { openTask } from './open-task.ts'

/** `fault` is a reply code or a word, never an address. */
export async function failMessage(
  tx: Db,
  ctx: Ctx,
  message: { id: string; kind: MessageKind; referralId: string },
  fault: string,
): Promise<void> {
  const { id, kind, referralId } = message
  const now = ctx.now()
  await settleMessages(tx, ctx.actor.clinicId, [id], { status: 'failed', fault })
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'message.failed',
    subject: id,
    referralId,
    after: { kind, fault },
  })
  const isHomeCheck = kind === 'home_check_invitation' || kind === 'home_check_chaser'
  await openTask(tx, ctx, {
    referralId,
    kind: isHomeCheck ? 'phone_home_check' : 'message_failed',
    // One call tells a patient everything that could not be sent: no pile of tasks for one wrong address.
    dedupeKey: isHomeCheck ? 'phone_home_check' : `message_failed:${kind}`,
    detail: { messageId: id, messageKind: kind, fault },
    dueAt: now,
  })
}
