/** Somebody types a referral in: from a fax, a letter, or with the sender on the phone. */

import { getClinic } from '#db/queries/clinics.ts'
import type { Result } from '#lib/base/result.ts'
import { err, ok } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type DraftFault, type RawReferral, readDraft } from '#lib/domain/intake/referral-draft.ts'
import type { Ctx } from './context.ts'
import { once } from './once.ts'
import { takeIn } from './steps/take-in.ts'

/** `key`: made when the form was opened, so that a double click adds one referral. */
export type AddReferralInput = { key: string; raw: RawReferral }
/** `isNew` is false when this very referral was here before. */
export type AddedReferral = { referralId: string; isNew: boolean }
export type AddReferralError =
  | { code: 'not_allowed' }
  | { code: 'faults'; faults: DraftFault[] }
  | { code: 'command_of_someone_else' }

/** Adds the referral, or says which one it is when it was here before. */
export async function addReferral(
  ctx: Ctx,
  { key, raw }: AddReferralInput,
): Promise<Result<AddedReferral, AddReferralError>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'referral.add', { clinicId })) return err({ code: 'not_allowed' })
  return once<AddedReferral, AddReferralError>(ctx, { key, kind: 'referral.add' }, async (tx) => {
    const { timeZone } = await getClinic(tx, clinicId)
    const draft = readDraft(raw, ctx.now().toZonedDateTimeISO(timeZone).toPlainDate())
    if (!draft.ok) return err({ code: 'faults', faults: draft.error })
    const { added, known } = await takeIn(tx, ctx, { drafts: [draft.value], source: 'typed', importId: null })
    const [first] = added
    return ok(first ? { referralId: first.referralId, isNew: true } : { referralId: known[0] ?? '', isNew: false })
  })
}
