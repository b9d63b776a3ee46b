/**
 * Writes messages into the outbox, inside the transaction of whatever causes them: either both happened or neither.
 * A message that is already there (same key) is left alone, so a repeated command sends nothing twice.
 */
import type { Db } from '#db/client.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { addMessages, getTimeZoneOf } from '#db/queries/messages.ts'
import { isUrgent, type PlannedMessage, phoneTaskDueAt } from '#lib/domain/messages/schedule.ts'
import type { Ctx } from '../context.ts'

/**
 * Queues what was planned. An invitation to the home check also brings the task to phone the patient, after the silence
 * that the clinic's policy allows.
 */
export async function queueMessages(tx: Db, ctx: Ctx, planned: readonly PlannedMessage[]): Promise<void> {
  const { clinicId } = ctx.actor
  const createdAt = ctx.now()
  const rows = planned.map((message) => ({ ...message, id: ctx.newId('msg') }))
  const added = await addMessages(
    tx,
    rows.map((row) => ({ ...row, clinicId, status: 'queued' as const, createdAt })),
  )
  const isNew = rows.filter(({ id }) => added.includes(id))
  if (isNew.length === 0) return
  await ctx.queue.enqueueMessages(
    tx,
    isNew.map(({ id, kind, dueAt }) => ({ clinicId, messageId: id, dueAt, isUrgent: isUrgent(kind) })),
  )
  const invitation = isNew.find(({ kind }) => kind === 'home_check_invitation')
  if (invitation) await queuePhoneTask(tx, ctx, invitation)
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
