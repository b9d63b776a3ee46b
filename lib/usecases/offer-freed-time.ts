/**
 * Some of a clinician's time came free: it is offered to whoever of the standby list it fits, the most urgent first, and
 * held for them while they make up their mind. Run as a job, by any process, as often as one likes: a start that is held
 * is not offered again, because the row that holds it stands in the way.
 */
import { recordAudit } from '#db/queries/audit.ts'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import {
  findHoldEnd,
  findOpenEntry,
  insertOffer,
  listAsked,
  listWaiting,
  type WaitingRow,
} from '#db/queries/standby.ts'
import { loadSupply } from '#db/queries/supply.ts'
import { insertVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import type { BookingCase } from '#lib/domain/booking/booking-case.ts'
import { demandOf, patientZone, plainWishes } from '#lib/domain/booking/demand-of.ts'
import { offerFor } from '#lib/domain/booking/offer.ts'
import type { Start } from '#lib/domain/calendar/demand.ts'
import { findStarts } from '#lib/domain/calendar/find-starts.ts'
import { prepareSupply } from '#lib/domain/calendar/supply.ts'
import { messagesForOffer } from '#lib/domain/messages/schedule.ts'
import { type OfferTimes, offerTimes } from '#lib/domain/standby/offer-times.ts'
import { moreUrgentFirst } from '#lib/domain/standby/standby.ts'
import type { Ctx, FreedTime } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { claimStart, RACE_LOST } from './steps/claim-start.ts'
import { queueMessages } from './steps/queue-messages.ts'

export type OfferedTime = { offerIds: string[] }

/** A visit is at most a day long: a start this long before may still reach into the time that came free. */
const REACH_HOURS = 24
/** More than any stretch of time holds. */
const MOST = 50

type NotOffered = { code: 'lost' }
const LOST = Object.fromEntries(
  [...Object.keys(RACE_LOST), 'visits_one_held', 'standby_one_live_offer'].map((constraint) => [
    constraint,
    { code: 'lost' } satisfies NotOffered,
  ]),
)

/** Offers as much of it as fits anybody; returns what was offered. */
export async function offerFreedTime(ctx: Ctx, freed: FreedTime): Promise<Result<OfferedTime, never>> {
  const { clinicId } = ctx.actor
  const now = ctx.now()
  const clinic = await getClinic(ctx.db, clinicId)
  const offerIds: string[] = []
  while (offerIds.length < MOST) {
    const offerId = await offerNext(ctx, freed, clinic)
    if (offerId === null) break
    offerIds.push(offerId)
  }
  // Somebody is looking at it this minute. If they don't take it, it has to be offered after all.
  const heldUntil = await findHoldEnd(ctx.db, clinicId, { ...freed, now })
  if (heldUntil) {
    const dueAt = heldUntil.add({ seconds: 1 })
    await inTransaction(ctx, async (tx) => {
      await ctx.queue.enqueueFreedTime(tx, { ...freed, clinicId, dueAt })
      return ok(null)
    })
  }
  return ok({ offerIds })
}

/** One offer to the first whom any of it fits; null = it fits nobody who has not been asked. */
async function offerNext(ctx: Ctx, freed: FreedTime, clinic: Clinic): Promise<string | null> {
  const { clinicId } = ctx.actor
  const waiting = await listWaiting(ctx.db, clinicId)
  if (waiting.length === 0) return null
  const asked = Map.groupBy(await listAsked(ctx.db, clinicId, freed), ({ entryId }) => entryId)
  for (const entry of waiting.sort(moreUrgentFirst)) {
    const before = asked.get(entry.entryId) ?? []
    if (before.some(({ outcome }) => outcome === null)) continue
    const bookingCase = await findBookingCase(ctx.db, clinicId, entry.referralId, { lock: false })
    if (!bookingCase) continue
    for (const start of await startsFor(ctx, bookingCase, entry, freed, clinic)) {
      // What they said no to, or let pass, is not asked again.
      const isNew = before.every(
        ({ startsAt, endsAt }) => start.end <= startsAt.epochMilliseconds || endsAt.epochMilliseconds <= start.start,
      )
      if (!isNew) continue
      const offered = await offer(ctx, entry, start)
      if (offered.ok) return offered.value
    }
  }
  return null
}

/**
 * The starts that the freed time makes possible and that are worth asking this patient about: those that keep to it first,
 * so that what is free beside it stays whole, then the soonest.
 */
async function startsFor(
  ctx: Ctx,
  bookingCase: BookingCase,
  entry: WaitingRow,
  freed: FreedTime,
  clinic: Clinic,
): Promise<Start[]> {
  const now = ctx.now()
  const offer = offerFor(bookingCase)
  if (!offer.ok || isHolding(bookingCase, now)) return []
  const { booked } = bookingCase
  const mode = booked?.mode ?? offer.value.modes[0]
  if (!offer.value.modes.includes(mode)) return []
  const earliest = freed.from.subtract({ hours: REACH_HOURS })
  const from = Temporal.Instant.compare(earliest, now) > 0 ? earliest : now
  const supply = await loadSupply(ctx.db, clinic.id, {
    from,
    to: freed.to,
    now,
    patientId: bookingCase.patient.id,
    referralId: entry.referralId,
    clinicianId: freed.clinicianId,
  })
  const wishes = { ...plainWishes('system', mode, []), clinicianId: freed.clinicianId, limit: Number.POSITIVE_INFINITY }
  const rules = { policy: clinic.policy, clinicTimeZone: clinic.timeZone, sites: supply.sites, now }
  const prepared = prepareSupply(supply, from.epochMilliseconds, freed.to.epochMilliseconds)
  const { starts } = findStarts(prepared, { ...demandOf(bookingCase, wishes, rules), releasable: [] })
  const zone = patientZone(bookingCase, clinic.timeZone)
  return starts
    .filter(({ busyFrom, busyTo }) => busyFrom < freed.to.epochMilliseconds && busyTo > freed.from.epochMilliseconds)
    .filter((start) => isWorthAsking(start, bookingCase, clinic))
    .filter(({ start }) => timesFor(start, entry, clinic, zone, now) !== null)
    .sort((a, b) => outside(a, freed) - outside(b, freed) || a.start - b.start)
}

/** How much of a start lies outside the time that came free. */
function outside({ busyFrom, busyTo }: Start, { from, to }: FreedTime): number {
  return Math.max(0, from.epochMilliseconds - busyFrom) + Math.max(0, busyTo - to.epochMilliseconds)
}

function isHolding({ held }: BookingCase, now: Temporal.Instant): boolean {
  return held?.holdExpiresAt != null && Temporal.Instant.compare(held.holdExpiresAt, now) > 0
}

/** Sooner than the visit they have by as much as the clinic says, and not in the way of it. */
function isWorthAsking(start: Start, { booked, earlyLook }: BookingCase, { policy }: Clinic): boolean {
  if (!booked) return true
  const latest = booked.startsAt.subtract({ hours: policy.standby.soonerHours }).epochMilliseconds
  const isInTheWay = [booked, earlyLook].some(
    (claim) =>
      claim && start.busyFrom < claim.endsAt.epochMilliseconds && claim.startsAt.epochMilliseconds < start.busyTo,
  )
  return start.start <= latest && !isInTheWay
}

function timesFor(
  start: number,
  { noticeHours }: Pick<WaitingRow, 'noticeHours'>,
  { policy }: Clinic,
  zone: string,
  now: Temporal.Instant,
): OfferTimes | null {
  return offerTimes(Temporal.Instant.fromEpochMilliseconds(start), noticeHours, { policy, zone, now })
}

/** Holds the start for them and asks. Refused when the world is another by now; the next start or person is tried. */
async function offer(ctx: Ctx, { entryId, referralId }: WaitingRow, found: Start): Promise<Result<string, NotOffered>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  return inTransaction<string, NotOffered>(
    ctx,
    async (tx) => {
      const bookingCase = await findBookingCase(tx, clinicId, referralId, { lock: true })
      const entry = await findOpenEntry(tx, clinicId, referralId)
      if (!bookingCase || entry?.id !== entryId || isHolding(bookingCase, now)) return err({ code: 'lost' })
      const { booked } = bookingCase
      const asked = {
        sessionId: found.sessionId,
        clinicianId: found.clinicianId,
        mode: found.mode,
        startsAt: Temporal.Instant.fromEpochMilliseconds(found.start),
        roomId: found.roomId,
        interpreterId: found.interpreterId,
        released: [],
        because: null,
      }
      const claim = await claimStart(tx, ctx, bookingCase, asked, { now, asOf: now, keep: null, moving: booked })
      if (!claim.ok) return err({ code: 'lost' })
      const { start, preparation, clinic } = claim.value
      const times = timesFor(found.start, entry, clinic, preparation.patientTimeZone, now)
      if (!times || !isWorthAsking(found, bookingCase, clinic)) return err({ code: 'lost' })
      const { dueAt, expiresAt } = times

      const visitId = ctx.newId('vis')
      const offerId = ctx.newId('off')
      await insertVisit(tx, {
        ...start,
        ...preparation,
        clinicId,
        id: visitId,
        referralId,
        patientId: bookingCase.patient.id,
        calendarUid: ctx.newId('cal'),
        status: 'held',
        holdExpiresAt: expiresAt,
        heldBy: ctx.actor.id,
        isOffer: true,
        at: now,
      })
      const { clinicianId, startsAt, endsAt } = start
      const whose = { clinicId, entryId, referralId, visitId, clinicianId }
      await insertOffer(tx, { ...whose, id: offerId, startsAt, endsAt, offeredAt: now, expiresAt })
      const held = { id: visitId, referralId, startsAt, calendarSequence: 0 }
      await queueMessages(tx, ctx, messagesForOffer({ held, dueAt }))
      await ctx.queue.enqueueOfferEnd(tx, { clinicId, offerId, dueAt: expiresAt })
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'offer.made',
        subject: offerId,
        referralId,
        after: { startsAt: startsAt.toString(), clinicianId, mode: start.mode, expiresAt: expiresAt.toString() },
      })
      return ok(offerId)
    },
    LOST,
  )
}
