/**
 * What does a patient find on their own page? How far the home check is, whether a time can be chosen, and the visit that
 * stands. Nothing is shown as possible that can't start yet.
 */
import { findBookingCase } from '#db/queries/booking-case.ts'
import { isolated } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { offerFor } from '#lib/domain/booking/offer.ts'
import type { VisitMode } from '#lib/domain/calendar/supply.ts'
import type { Ctx } from './context.ts'
import { readHomeCheck } from './read-home-check.ts'
import { setUpsAhead } from './steps/set-ups-ahead.ts'

export type MyPage = {
  givenName: string
  /** stopped: get help first, nothing else goes on. not_ready: the clinic has not looked at the referral yet. */
  check: 'not_ready' | 'to_do' | 'started' | 'done' | 'stopped' | 'closed'
  canBook: boolean
  visit: { mode: VisitMode; startsAt: string; timeZone: string } | null
  hasPacket: boolean
  /** A set-up of an exam at home lies ahead. */
  canRehearse: boolean
}
export type ReadMyPageError = { code: 'referral_not_found' }

export async function readMyPage(
  ctx: Ctx,
  { referralId }: { referralId: string },
): Promise<Result<MyPage, ReadMyPageError>> {
  const { clinicId } = ctx.actor
  const check = await readHomeCheck(ctx, { referralId })
  if (!check.ok && check.error.code === 'referral_not_found') return err({ code: 'referral_not_found' })
  const bookingCase = await findBookingCase(ctx.db, clinicId, referralId, { lock: false })
  if (!bookingCase) return err({ code: 'referral_not_found' })
  const { booked, patient } = bookingCase
  const offer = offerFor(bookingCase)
  const ahead = await setUpsAhead(ctx.db, clinicId, referralId, check.ok ? check.value.protocol : null)
  return ok({
    givenName: isolated(patient.givenName),
    check: bookingCase.stage === 'closed' ? 'closed' : check.ok ? stateOf(check.value) : 'not_ready',
    canBook: offer.ok && booked === null,
    visit: booked && {
      mode: booked.mode,
      startsAt: booked.startsAt.toString(),
      timeZone: booked.patientTimeZone,
    },
    hasPacket: ahead.hasPacket,
    canRehearse: ahead.setUps.length > 0,
  })
}

function stateOf({
  isHelpNeeded,
  isFinished,
  details,
}: {
  isHelpNeeded: boolean
  isFinished: boolean
  details: { startedAt: unknown } | null
}): MyPage['check'] {
  if (isHelpNeeded) return 'stopped'
  if (isFinished) return 'done'
  return details?.startedAt ? 'started' : 'to_do'
}
