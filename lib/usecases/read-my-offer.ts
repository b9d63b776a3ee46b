/** What a patient is being offered, beside what they have; and whether they are on the standby list at all. */
import { getClinic } from '#db/queries/clinics.ts'
import { findBookedStart } from '#db/queries/messages.ts'
import { findNewestOffer, findOpenEntry } from '#db/queries/standby.ts'
import { findClaimedPlace } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { OfferOutcome } from '#lib/domain/standby/standby.ts'
import type { Ctx } from './context.ts'

export type MyOffer = {
  offerId: string
  /** Live, or what came of it. */
  outcome: OfferOutcome | 'live'
  startsAt: string
  endsAt: string
  answerBy: string
  mode: 'video' | 'in_person'
  clinicianName: string
  interpreterName: string | null
  site: { name: string; address: string } | null
  /** The patient's zone. */
  timeZone: string
}
export type MyStandby = {
  /** Null = not on the list. */
  noticeHours: number | null
  /** The newest. */
  offer: MyOffer | null
  /** When their visit is now; null = none is booked. */
  bookedAt: string | null
}
export type ReadMyOfferError = { code: 'referral_not_found' }

export async function readMyOffer(
  ctx: Ctx,
  { referralId }: { referralId: string },
): Promise<Result<MyStandby, ReadMyOfferError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'visit.read', { clinicId, referralId })) return err({ code: 'referral_not_found' })
  const [entry, offer, bookedAt, clinic] = await Promise.all([
    findOpenEntry(ctx.db, clinicId, referralId),
    findNewestOffer(ctx.db, clinicId, referralId),
    findBookedStart(ctx.db, clinicId, referralId),
    getClinic(ctx.db, clinicId),
  ])
  const place = offer && (await findClaimedPlace(ctx.db, clinicId, offer.visitId))
  const isOver = offer !== null && Temporal.Instant.compare(offer.expiresAt, now) <= 0
  return ok({
    noticeHours: entry?.noticeHours ?? null,
    bookedAt: bookedAt?.toString() ?? null,
    offer: offer &&
      place && {
        offerId: offer.id,
        outcome: offer.outcome ?? (isOver ? 'expired' : 'live'),
        startsAt: offer.startsAt.toString(),
        endsAt: offer.endsAt.toString(),
        answerBy: offer.expiresAt.toString(),
        mode: place.mode,
        clinicianName: place.clinicianName,
        interpreterName: place.interpreterName,
        site: place.siteName === null ? null : { name: place.siteName, address: place.siteAddress ?? '' },
        timeZone: place.patientTimeZone ?? clinic.timeZone,
      },
  })
}
