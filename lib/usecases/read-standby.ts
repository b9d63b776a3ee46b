/** The standby list as staff see it: who waits, who is being asked and until when, and what came of earlier offers. */

import { findBookingCase } from '#db/queries/booking-case.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findOpenEntry, listOffers, listWaiting, type ShownOffer, type WaitingRow } from '#db/queries/standby.ts'
import { fullName } from '#lib/base/plain-text.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type NothingToOffer, offerFor } from '#lib/domain/booking/offer.ts'
import { moreUrgentFirst } from '#lib/domain/standby/standby.ts'
import type { Ctx } from './context.ts'

export type StandbyView = {
  clinicTimeZone: string
  /** The most urgent first: the order in which a start is offered. */
  waiting: WaitingRow[]
  /** The soonest to end first. */
  live: (ShownOffer & { isOver: boolean })[]
  /** The newest first. */
  settled: ShownOffer[]
  /** The referral that was asked about, so that it can be put on the list. */
  asked: { referralId: string; patientName: string; noticeHours: number | null; refusal: NothingToOffer | null } | null
}

const SETTLED = 30

/** `referralId`: the one to be put on the list, if any. */
export async function readStandby(ctx: Ctx, { referralId }: { referralId: string | null }): Promise<StandbyView> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const [clinic, waiting, live, settled] = await Promise.all([
    getClinic(ctx.db, clinicId),
    listWaiting(ctx.db, clinicId),
    listOffers(ctx.db, clinicId, 'live', 100),
    listOffers(ctx.db, clinicId, 'settled', SETTLED),
  ])
  return {
    clinicTimeZone: clinic.timeZone,
    waiting: waiting.sort(moreUrgentFirst),
    live: live.map((offer) => ({ ...offer, isOver: Temporal.Instant.compare(offer.expiresAt, now) <= 0 })),
    settled,
    asked: referralId === null ? null : await askedAbout(ctx, referralId),
  }
}

async function askedAbout(ctx: Ctx, referralId: string): Promise<StandbyView['asked']> {
  const { clinicId } = ctx.actor
  const bookingCase = await findBookingCase(ctx.db, clinicId, referralId, { lock: false })
  if (!bookingCase || !may(ctx.actor, 'standby.write', { clinicId, referralId })) return null
  const offer = offerFor(bookingCase)
  const entry = await findOpenEntry(ctx.db, clinicId, referralId)
  return {
    referralId,
    patientName: fullName(bookingCase.patient),
    noticeHours: entry?.noticeHours ?? null,
    refusal: offer.ok ? null : offer.error,
  }
}
