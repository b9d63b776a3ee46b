/** Sends the patient their personal link to the home check, with the reminders that chase it. */
import { z } from 'zod'
import { findReferralToScreen } from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findHomeCheck, saveHomeCheck } from '#db/queries/home-checks.ts'
import { findPatient } from '#db/queries/patients.ts'
import { invariant } from '#lib/base/invariant.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type NoInvitation, whyNotInvited } from '#lib/domain/home/invitation.ts'
import { messagesForInvitation } from '#lib/domain/messages/schedule.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { queueMessages } from './steps/queue-messages.ts'

export const inviteHomeCheckInput = z.object({ referralId: z.string() })
export type InviteHomeCheckInput = z.output<typeof inviteHomeCheckInput>

export type InvitedHomeCheck = { invitedAt: string }
export type InviteHomeCheckError = { code: 'referral_not_found' } | { code: NoInvitation }

export async function inviteHomeCheck(
  ctx: Ctx,
  { referralId }: InviteHomeCheckInput,
): Promise<Result<InvitedHomeCheck, InviteHomeCheckError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<InvitedHomeCheck, InviteHomeCheckError>(ctx, async (tx) => {
    const referral = await findReferralToScreen(tx, clinicId, referralId)
    if (!referral || !may(ctx.actor, 'check.invite', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    const patient = await findPatient(tx, clinicId, referral.patientId)
    invariant(patient, 'a referral has its patient')
    const isFinished = (await findHomeCheck(tx, clinicId, referralId))?.finishedAt != null
    const { email, birthDate } = patient
    const why = whyNotInvited({ ...referral, email, birthDate, isFinished })
    if (why !== null) return err({ code: why })

    const clinic = await getClinic(tx, clinicId)
    await saveHomeCheck(tx, clinicId, referralId, { invitedAt: now })
    await queueMessages(
      tx,
      ctx,
      messagesForInvitation({ referralId, policy: clinic.policy, zone: patient.timeZone ?? clinic.timeZone, now }),
    )
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'check.invited',
      subject: referralId,
      referralId,
    })
    return ok({ invitedAt: now.toString() })
  })
}
