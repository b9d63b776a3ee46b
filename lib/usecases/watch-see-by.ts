/** Looks again whether a referral that waits for a visit can still have one in time, and tells the coordinator if not. */
import { z } from 'zod'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { ok, type Result } from '#lib/base/result.ts'
import { offerFor } from '#lib/domain/booking/offer.ts'
import type { Ctx } from './context.ts'
import { awaitsStart, findBreach, settleBreach } from './steps/settle-breach.ts'

export const watchSeeByInput = z.object({ referralId: z.string() })
export type WatchSeeByInput = z.output<typeof watchSeeByInput>

export type WatchedSeeBy = { isBreached: boolean }

/** Reads without a lock: whoever books or changes the world in between is looked at again. */
export async function watchSeeBy(ctx: Ctx, { referralId }: WatchSeeByInput): Promise<Result<WatchedSeeBy, never>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const bookingCase = await findBookingCase(ctx.db, clinicId, referralId, { lock: false })
  // While an emergency call is open nothing is searched, and nothing that is on the desk is taken off it.
  if (!bookingCase || bookingCase.isStopped) return ok({ isBreached: false })
  const clinic = await getClinic(ctx.db, clinicId)
  const offer = offerFor(bookingCase)
  const isAwaited = offer.ok && awaitsStart(bookingCase, offer.value, clinic, now)
  const breach = isAwaited ? await findBreach(ctx.db, bookingCase, offer.value, clinic, now) : null
  await settleBreach(ctx, referralId, breach)
  return ok({ isBreached: breach !== null })
}
