/** Every try has failed, or the process died in each: the message is failed and a person phones instead. */
import { z } from 'zod'
import { findMessagesForUpdate } from '#db/queries/messages.ts'
import { ok, type Result } from '#lib/base/result.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { failMessage } from './steps/fail-message.ts'

export const giveUpMessageInput = z.object({ messageId: z.string() })
export type GiveUpMessageInput = z.output<typeof giveUpMessageInput>

export type GivenUpMessage = { hasFailed: boolean }

export async function giveUpMessage(
  ctx: Ctx,
  { messageId }: GiveUpMessageInput,
): Promise<Result<GivenUpMessage, never>> {
  return inTransaction<GivenUpMessage, never>(ctx, async (tx) => {
    const message = (await findMessagesForUpdate(tx, ctx.actor.clinicId, [messageId])).get(messageId)
    if (message?.status !== 'queued') return ok({ hasFailed: false })
    await failMessage(tx, ctx, { ...message, referralId: message.referral.id }, 'tries_used_up')
    return ok({ hasFailed: true })
  })
}
