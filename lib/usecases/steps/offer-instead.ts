/** Somebody who lost a start is told so with the next best starts already found, never with "try again". */
import { findBookingCase } from '#db/queries/booking-case.ts'
import { offerFor } from '#lib/domain/booking/offer.ts'
import type { Ctx } from '../context.ts'
import type { AskedStart } from './claim-start.ts'
import { nextBestStarts, type OfferedStart } from './search-starts.ts'

type Lost = 'start_taken' | 'start_refused' | 'hold_gone'

/** The same refusal; where a start was lost, with what could be had instead. */
export type WithNext<E extends { code: string }> = E extends { code: Lost } ? E & { next: OfferedStart[] } : E

/** Runs after the refused command has been rolled back, outside any transaction. */
export async function offerInstead<E extends { code: string }>(
  ctx: Ctx,
  referralId: string,
  asked: Pick<AskedStart, 'mode' | 'released'>,
  error: E,
): Promise<WithNext<E>> {
  if (!isLost(error.code)) return error as WithNext<E>
  return { ...error, next: await findNext(ctx, referralId, asked) } as WithNext<E>
}

async function findNext(
  ctx: Ctx,
  referralId: string,
  { mode, released }: Pick<AskedStart, 'mode' | 'released'>,
): Promise<OfferedStart[]> {
  const bookingCase = await findBookingCase(ctx.db, ctx.actor.clinicId, referralId, { lock: false })
  const offer = bookingCase && offerFor(bookingCase)
  if (!offer?.ok) return []
  const isEarlyLook = mode === 'video' && offer.value.earlyLook
  if (!offer.value.modes.includes(mode) && !isEarlyLook) return []
  const before = isEarlyLook ? (bookingCase?.booked?.startsAt ?? null) : null
  return bookingCase
    ? nextBestStarts(ctx.db, bookingCase, { askedBy: ctx.actor.kind, mode, released, before }, ctx.now())
    : []
}

function isLost(code: string): code is Lost {
  return code === 'start_taken' || code === 'start_refused' || code === 'hold_gone'
}
