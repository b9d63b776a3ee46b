/**
 * A person says whether a new patient is somebody the clinic knows. Same: the
 * referrals move to the record that was there, and what that record lacks is
 * filled from the new one. Different: both stay as they are. Either way the
 * question, the answer and who gave it are kept.
 */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import {
  decideMatchRow,
  findPatientForUpdate,
  listMatchRows,
  moveOpenMatches,
  type Patient,
  updatePatient,
} from '#db/queries/patients.ts'
import { findReferralForUpdate, lockIntake, moveReferrals } from '#db/queries/referrals.ts'
import { markTasksDone } from '#db/queries/tasks.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { PERSON_FIELDS } from '#lib/domain/intake/referral-draft.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export const decideMatchInput = z.object({
  referralId: z.string(),
  candidateId: z.string(),
  decision: z.enum(['same', 'different']),
})
export type DecideMatchInput = z.output<typeof decideMatchInput>
export type DecidedMatch = { patientId: string; isDecided: boolean }
export type DecideMatchError =
  | { code: 'match_not_found' }
  | { code: 'already_decided' }
  /** Both records have a visit at the same time: one of them has to be moved first. */
  | { code: 'visits_overlap' }

/** Answers one question. `isDecided` is false while others about the same referral are open. */
export async function decideMatch(
  ctx: Ctx,
  { referralId, candidateId, decision }: DecideMatchInput,
): Promise<Result<DecidedMatch, DecideMatchError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<DecidedMatch, DecideMatchError>(
    ctx,
    async (tx) => {
      if (!may(ctx.actor, 'match.decide', { clinicId, referralId })) return err({ code: 'match_not_found' })
      await lockIntake(tx, clinicId)
      const referral = await findReferralForUpdate(tx, clinicId, referralId)
      const rows = referral ? await listMatchRows(tx, clinicId, referralId) : []
      const asked = rows.find((row) => row.candidateId === candidateId)
      if (!referral || !asked) return err({ code: 'match_not_found' })
      if (asked.decision !== null) return err({ code: 'already_decided' })

      const answer = { decision, decidedBy: ctx.actor.id, decidedAt: now }
      await decideMatchRow(tx, clinicId, referralId, candidateId, answer)
      if (decision === 'same') await join(tx, ctx, referral.patientId, candidateId)
      const open = rows.filter((row) => row.decision === null && row.candidateId !== candidateId)
      const isDecided = decision === 'same' || open.length === 0
      if (decision === 'same') {
        // The person is found; the records that were also possible stay records of others.
        for (const row of open)
          await decideMatchRow(tx, clinicId, referralId, row.candidateId, { ...answer, decision: 'different' })
      }
      if (isDecided) await markTasksDone(tx, clinicId, referralId, { at: now, by: ctx.actor.id, note: null }, 'match')
      const patientId = decision === 'same' ? candidateId : referral.patientId
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'match.decided',
        subject: referralId,
        referralId,
        before: { patientId: referral.patientId },
        after: { decision, candidateId, patientId },
      })
      return ok({ patientId, isDecided })
    },
    { visits_patient_no_overlap: { code: 'visits_overlap' } },
  )
}

const FILLED = [...PERSON_FIELDS, 'preferredSiteId'] as const satisfies readonly (keyof Patient)[]

/** Everything of one record moves to the other; the emptied record stays, so that nothing that was written is lost. */
async function join(tx: Db, ctx: Ctx, from: string, to: string): Promise<void> {
  const { clinicId } = ctx.actor
  const now = ctx.now()
  const [one, other] = [await findPatientForUpdate(tx, clinicId, from), await findPatientForUpdate(tx, clinicId, to)]
  if (!one || !other || from === to) return
  const filled = Object.fromEntries(
    FILLED.flatMap((field) => (other[field] === null && one[field] !== null ? [[field, one[field]]] : [])),
  )
  if (Object.keys(filled).length > 0) await updatePatient(tx, clinicId, to, filled)
  const moved = await moveReferrals(tx, clinicId, from, to)
  await moveOpenMatches(tx, clinicId, from, to)
  for (const referralId of moved) {
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'referral.moved',
      subject: referralId,
      referralId,
      before: { patientId: from },
      after: { patientId: to, ...(Object.keys(filled).length > 0 && { filled }) },
    })
    await settleOwnMatches(tx, ctx, referralId, to)
  }
}

/** A referral that now belongs to a patient is no longer asked whether it is theirs. */
async function settleOwnMatches(tx: Db, ctx: Ctx, referralId: string, patientId: string): Promise<void> {
  const { clinicId } = ctx.actor
  const answer = { decidedBy: ctx.actor.id, decidedAt: ctx.now() }
  const open = (await listMatchRows(tx, clinicId, referralId)).filter((row) => row.decision === null)
  if (!open.some((row) => row.candidateId === patientId)) return
  await decideMatchRow(tx, clinicId, referralId, patientId, { ...answer, decision: 'same' })
  if (open.length === 1)
    await markTasksDone(tx, clinicId, referralId, { at: answer.decidedAt, by: answer.decidedBy, note: null }, 'match')
}
