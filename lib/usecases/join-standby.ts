/** Puts a referral on the standby list, or changes the notice it needs. Taking a place twice keeps the first one. */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { findOpenEntry, insertEntry, setNotice } from '#db/queries/standby.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type NothingToOffer, offerFor } from '#lib/domain/booking/offer.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export const joinStandbyInput = z.object({
  referralId: z.string(),
  /** The shortest notice at which they can come. */
  noticeHours: z.coerce.number().int().min(1).max(720),
})
export type JoinStandbyInput = z.output<typeof joinStandbyInput>

export type JoinedStandby = { entryId: string }
export type JoinStandbyError = { code: 'referral_not_found' } | { code: 'already_waiting' } | { code: NothingToOffer }

export async function joinStandby(
  ctx: Ctx,
  { referralId, noticeHours }: JoinStandbyInput,
): Promise<Result<JoinedStandby, JoinStandbyError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<JoinedStandby, JoinStandbyError>(
    ctx,
    async (tx) => {
      const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
      if (!bookingCase || !may(ctx.actor, 'standby.write', { clinicId, referralId }))
        return err({ code: 'referral_not_found' })
      const offer = offerFor(bookingCase)
      if (!offer.ok) return err({ code: offer.error })
      const there = await findOpenEntry(tx, clinicId, referralId)
      if (there?.noticeHours === noticeHours) return ok({ entryId: there.id })
      const entryId = there?.id ?? ctx.newId('sby')
      if (there) await setNotice(tx, clinicId, there.id, noticeHours)
      else
        await insertEntry(tx, { clinicId, id: entryId, referralId, joinedAt: now, joinedBy: ctx.actor.id, noticeHours })
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: there ? 'standby.changed' : 'standby.joined',
        subject: entryId,
        referralId,
        ...(there && { before: { noticeHours: there.noticeHours } }),
        after: { noticeHours },
      })
      return ok({ entryId })
    },
    { standby_one_open: { code: 'already_waiting' } },
  )
}
