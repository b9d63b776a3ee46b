/**
 * Writes messages into the outbox, inside the transaction of whatever causes them: either both happened or neither.
 * A message that is already there (same key) is left alone, so a repeated command sends nothing twice.
 */
import type { Db } from '#db/client.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { addMessage, getTimeZoneOf } from '#db/queries/messages.ts'
import { isUrgent, type PlannedMessage, phoneTaskDueAt } from '#lib/domain/messages/schedule.ts'
import type { Ctx } from '../context.ts'

/**
 * Queues what was planned. An invitation to the home check also brings the task to phone the patient, after the silence
 * that the clinic's policy allows.
 */
export async function queueMessages(tx: Db, ctx: Ctx, planned: readonly PlannedMessage[]): Promise<void> {
  const { clinicId } = ctx.actor
  const createdAt = ctx.now()
  for (const message of planned) {
    const messageId = ctx.newId('msg')
    const isNew = await addMessage(tx, { ...message, clinicId, id: messageId, status: 'queued', createdAt })
    if (!isNew) continue
    await ctx.queue.enqueueMessage(tx, { clinicId, messageId, dueAt: message.dueAt, isUrgent: isUrgent(message.kind) })
    if (message.kind === 'home_check_invitation') await queuePhoneTask(tx, ctx, message)
  }
}

async function queuePhoneTask(tx: Db, ctx: Ctx, { referralId, dueAt, dedupeKey }: PlannedMessage): Promise<void> {
  const { clinicId } = ctx.actor
  const { policy, timeZone } = await getClinic(tx, clinicId)
  const zone = (await getTimeZoneOf(tx, clinicId, referralId)) ?? timeZone
  await ctx.queue.enqueuePhoneTask(tx, {
    clinicId,
    referralId,
    invitation: dedupeKey,
    dueAt: phoneTaskDueAt(dueAt, { policy, zone }),
  })
}
