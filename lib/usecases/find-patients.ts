/** Finds the patient who is on the phone, whatever has become of their referral. */
import { findPatients as find } from '#db/queries/find-patients.ts'
import { listCurrentProtocols } from '#db/queries/protocols.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type QuestFault, readQuest } from '#lib/domain/desk/find-patient.ts'
import type { Stage } from '#lib/domain/desk/stages.ts'
import type { Side } from '#lib/domain/protocol/schema.ts'
import type { Ctx } from './context.ts'

export type FoundPatient = {
  name: string
  /** yyyy-mm-dd */
  birthDate: string | null
  phone: string | null
  referrals: { referralId: string; stage: Stage; side: Side | null; condition: string | null }[]
}
export type FindPatientsError = { code: 'not_allowed' } | { code: 'unclear'; fault: QuestFault }

const MOST = 20

/** Alphabetical; `isCut` when there are more than are told. */
export async function findPatients(
  ctx: Ctx,
  { typed }: { typed: string },
): Promise<Result<{ patients: FoundPatient[]; isCut: boolean }, FindPatientsError>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'referral.read', { clinicId })) return err({ code: 'not_allowed' })
  const quest = readQuest(typed)
  if (!quest.ok) return err({ code: 'unclear', fault: quest.error })
  const [found, protocols] = await Promise.all([
    find(ctx.db, clinicId, quest.value, MOST + 1),
    listCurrentProtocols(ctx.db, clinicId),
  ])
  const conditions = new Map(
    protocols.flatMap(({ id, conditions: all }) => all.map((one) => [`${id} ${one.id}`, one.title])),
  )
  return ok({
    isCut: found.length > MOST,
    patients: found.slice(0, MOST).map(({ givenName, familyName, birthDate, phone, referrals }) => ({
      name: `${givenName} ${familyName}`,
      birthDate,
      phone,
      referrals: referrals.map(({ id, stage, side, protocolId, conditionId, conditionText }) => ({
        referralId: id,
        stage,
        side,
        condition: conditions.get(`${protocolId} ${conditionId}`) ?? conditionText,
      })),
    })),
  })
}
