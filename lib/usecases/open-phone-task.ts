/** The home check has been silent for as long as the clinic waits: a person phones and fills it in with the patient. */
import { z } from 'zod'
import { findHomeCheck } from '#db/queries/home-checks.ts'
import { findReferral } from '#db/queries/referrals.ts'
import { ok, type Result } from '#lib/base/result.ts'
import { isStale } from '#lib/domain/messages/schedule.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { openTask } from './steps/open-task.ts'

export const openPhoneTaskInput = z.object({ referralId: z.string(), invitation: z.string() })
export type OpenPhoneTaskInput = z.output<typeof openPhoneTaskInput>

export type OpenedPhoneTask = { isOpened: boolean }

/** Nothing is opened when the home check is finished, the referral closed, or a later invitation counts instead. */
export async function openPhoneTask(
  ctx: Ctx,
  { referralId, invitation }: OpenPhoneTaskInput,
): Promise<Result<OpenedPhoneTask, never>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<OpenedPhoneTask, never>(ctx, async (tx) => {
    const referral = await findReferral(tx, clinicId, referralId)
    if (!referral) return ok({ isOpened: false })
    const homeCheck = await findHomeCheck(tx, clinicId, referralId)
    const world = {
      referral: {
        id: referralId,
        isClosed: referral.stage === 'closed',
        invitedAt: homeCheck?.invitedAt ?? null,
        homeCheckFinishedAt: homeCheck?.finishedAt ?? null,
      },
      visit: null,
      now,
    }
    if (isStale({ kind: 'home_check_invitation', dedupeKey: invitation }, world)) return ok({ isOpened: false })
    await openTask(tx, ctx, {
      referralId,
      kind: 'phone_home_check',
      dedupeKey: 'phone_home_check',
      detail: { fault: 'no_answer' },
      dueAt: now,
    })
    return ok({ isOpened: true })
  })
}
