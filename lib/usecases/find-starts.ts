/**
 * The starts a referral may have, grouped by the patient's own days, each with why it ranks where it does. Where nothing
 * is left before the see-by time the coordinator gets a task: that must not depend on somebody reading the page.
 */

import { z } from 'zod'
import { findBookingCase } from '#db/queries/booking-case.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { listActiveClinicians, listActiveSites } from '#db/queries/supply.ts'
import { listClaimsToShow } from '#db/queries/visits.ts'
import { fullName } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { BookingCase } from '#lib/domain/booking/booking-case.ts'
import type { Breach } from '#lib/domain/booking/breach.ts'
import { DAY_PARTS, patientZone, plainWishes, type Wishes } from '#lib/domain/booking/demand-of.ts'
import { mayRelease, type NothingToOffer, type Offer, offerFor } from '#lib/domain/booking/offer.ts'
import { RELAXATIONS } from '#lib/domain/calendar/demand.ts'
import type { VisitMode } from '#lib/domain/calendar/supply.ts'
import type { Ctx } from './context.ts'
import { byDay, type Found, type OfferedDay, type OfferedStart, searchStarts } from './steps/search-starts.ts'
import { awaitsStart, findBreach, settleBreach } from './steps/settle-breach.ts'

export const findStartsInput = z.object({
  referralId: z.string(),
  /** Null = as it was decided. */
  mode: z.enum(['video', 'in_person']).nullable(),
  clinicianId: z.string().nullable(),
  dayPart: z.enum(DAY_PARTS).nullable(),
  /** In person at this site alone. */
  siteId: z.string().nullable().optional(),
  /** The first day of the patient's to look at, yyyy-mm-dd. */
  fromDay: z.iso.date().nullable().optional(),
  released: z.array(z.enum(RELAXATIONS)),
  /** How many days, and how many starts of each, to choose from. */
  days: z.number().int().min(1).max(60),
  perDay: z.number().int().min(1).max(60),
})
export type FindStartsInput = z.output<typeof findStartsInput>

/** A claim as it is shown. Instants are ISO text. */
export type ShownClaim = {
  visitId: string
  status: 'held' | 'booked'
  mode: VisitMode
  startsAt: string
  endsAt: string
  /** Only while held. */
  expiresAt: string | null
  /** The hold ran out: its time is free to anybody. */
  isExpired: boolean
  clinicianName: string
  interpreterName: string | null
  place: { siteName: string; siteAddress: string; roomName: string; timeZone: string } | null
  version: number
  /** What a form sends back to book it. */
  start: Pick<OfferedStart, 'sessionId' | 'clinicianId' | 'mode' | 'startsAt' | 'roomId' | 'interpreterId'>
}

export type StartsFound = {
  referralId: string
  patientName: string
  seeBy: string | null
  /** IANA zones: the patient's, in which the days are, and the clinic's. */
  timeZone: string
  clinicTimeZone: string
  mode: VisitMode
  modes: VisitMode[]
  minutes: number
  days: OfferedDay[]
  relaxation: Found['relaxation']
  /** Nothing in time, though nothing was asked for but the visit itself: what would help. */
  breach: Breach | null
  /** A sooner video look beside the visit in person; null where none may be offered. */
  earlyLook: { before: string; starts: OfferedStart[] } | null
  clinicians: { id: string; name: string }[]
  sites: { id: string; name: string }[]
  /** What can be set aside by choice: whether the helper gave times, and the language to interpret. */
  needs: { helperTimes: boolean; interpreterLanguage: string | null }
  claims: ShownClaim[]
  holdMin: number
  cutOffHours: number
}
export type FindStartsError =
  | { code: NothingToOffer; claims: ShownClaim[]; timeZone: string; clinicTimeZone: string; cutOffHours: number }
  | { code: 'referral_not_found' }

/** Searches for one referral. */
export async function findStarts(ctx: Ctx, input: FindStartsInput): Promise<Result<StartsFound, FindStartsError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const { referralId } = input
  const bookingCase = await findBookingCase(ctx.db, clinicId, referralId, { lock: false })
  if (!bookingCase || !may(ctx.actor, 'slot.search', { clinicId, referralId }))
    return err({ code: 'referral_not_found' })
  const [clinic, claims, clinicians, sites] = await Promise.all([
    getClinic(ctx.db, clinicId),
    listShownClaims(ctx, referralId, now),
    listActiveClinicians(ctx.db, clinicId),
    listActiveSites(ctx.db, clinicId),
  ])
  const zones = { timeZone: patientZone(bookingCase, clinic.timeZone), clinicTimeZone: clinic.timeZone }
  const cutOffHours = clinic.policy.booking.patientCutOffHours
  const offer = offerFor(bookingCase)
  if (!offer.ok) return err({ code: offer.error, claims, ...zones, cutOffHours })

  const isPatient = ctx.actor.kind === 'patient'
  const modes = isPatient ? offer.value.modes.slice(0, 1) : [...offer.value.modes]
  const mode = input.mode !== null && modes.includes(input.mode) ? input.mode : offer.value.modes[0]
  const wishes: Wishes = {
    askedBy: ctx.actor.kind,
    mode,
    clinicianId: input.clinicianId,
    dayPart: input.dayPart,
    siteId: mode === 'in_person' ? (input.siteId ?? null) : null,
    fromDay: input.fromDay ? Temporal.PlainDate.from(input.fromDay) : null,
    released: input.released.filter((kind) => mayRelease(kind, ctx.actor.kind, clinic.policy)),
    before: null,
    limit: input.days * READ_PER_DAY,
    perDay: READ_PER_DAY,
  }
  const found = await searchStarts(ctx.db, bookingCase, wishes, clinic, now)
  let breach: Breach | null = null
  if (isPlain(wishes, offer.value) && awaitsStart(bookingCase, offer.value, clinic, now)) {
    if (found.starts.length === 0) breach = await findBreach(ctx.db, bookingCase, offer.value, clinic, now)
    await settleBreach(ctx, referralId, breach)
  }

  const inPersonAt = offer.value.earlyLook && !isPatient ? inPersonStart(bookingCase, found) : null
  return ok({
    referralId,
    patientName: fullName(bookingCase.patient),
    seeBy: bookingCase.seeBy?.toString() ?? null,
    ...zones,
    mode,
    modes,
    minutes:
      mode === 'video' && bookingCase.assessment?.plan
        ? bookingCase.assessment.plan.visitMin
        : clinic.policy.visit.inPersonMin,
    days: byDay(found.starts, zones.timeZone)
      .slice(0, input.days)
      .map((day) => ({ ...day, starts: spread(day.starts, input.perDay) })),
    relaxation: found.relaxation,
    breach,
    earlyLook: inPersonAt && (await findEarlyLook(ctx, bookingCase, inPersonAt, clinic, now)),
    clinicians,
    sites: sites.map(({ id, name }) => ({ id, name })),
    needs: {
      helperTimes:
        mode === 'video' &&
        (bookingCase.assessment?.plan?.helperWindow ?? null) !== null &&
        (bookingCase.home?.helperWindows.length ?? 0) > 0,
      interpreterLanguage: bookingCase.patient.interpreterLanguage,
    },
    claims,
    holdMin: clinic.policy.booking.holdMin,
    cutOffHours,
  })
}

/** A day's starts are read up to here, and then thinned: five starts ten minutes apart are hardly a choice. */
const READ_PER_DAY = 60

/** So many of a day's starts, from its first to its last. */
function spread(starts: readonly OfferedStart[], count: number): OfferedStart[] {
  if (starts.length <= count || count < 2) return starts.slice(0, count)
  const last = starts.length - 1
  return Array.from({ length: count }, (_, n) => starts[Math.round((n * last) / (count - 1))] as OfferedStart)
}

async function findEarlyLook(
  ctx: Ctx,
  bookingCase: BookingCase,
  before: Temporal.Instant,
  clinic: Clinic,
  now: Temporal.Instant,
) {
  const askedBy = ctx.actor.kind
  const wishes: Wishes = { ...plainWishes(askedBy, 'video', []), before, limit: 4, perDay: 2 }
  const { starts } = await searchStarts(ctx.db, bookingCase, wishes, clinic, now)
  return { before: before.toString(), starts }
}

/** The visit in person that a look goes with: booked, or the soonest there is, even if that is too late. */
function inPersonStart(bookingCase: BookingCase, found: Found): Temporal.Instant | null {
  if (bookingCase.earlyLook) return null
  if (bookingCase.booked) return bookingCase.booked.mode === 'in_person' ? bookingCase.booked.startsAt : null
  const soonest = found.starts.map((start) => start.startsAt).sort()[0] ?? found.relaxation?.start.startsAt
  return soonest === undefined ? null : Temporal.Instant.from(soonest)
}

/** Whether the search was the plain one, in the way that was decided: only that one can tell that nothing is in time. */
function isPlain(wishes: Wishes, offer: Offer): boolean {
  const { mode, clinicianId, dayPart, siteId, fromDay, released } = wishes
  const isNarrowed = [clinicianId, dayPart, siteId, fromDay].some((wish) => wish !== null)
  return mode === offer.modes[0] && !isNarrowed && released.length === 0
}

async function listShownClaims(ctx: Ctx, referralId: string, now: Temporal.Instant): Promise<ShownClaim[]> {
  const rows = await listClaimsToShow(ctx.db, ctx.actor.clinicId, referralId)
  return rows.map((row) => ({
    visitId: row.visitId,
    status: row.status === 'held' ? 'held' : 'booked',
    mode: row.mode,
    startsAt: row.startsAt.toString(),
    endsAt: row.endsAt.toString(),
    expiresAt: row.holdExpiresAt?.toString() ?? null,
    isExpired: row.holdExpiresAt !== null && Temporal.Instant.compare(row.holdExpiresAt, now) <= 0,
    clinicianName: row.clinicianName,
    interpreterName: row.interpreterName,
    place:
      row.siteName !== null && row.siteAddress !== null && row.roomName !== null && row.siteTimeZone !== null
        ? { siteName: row.siteName, siteAddress: row.siteAddress, roomName: row.roomName, timeZone: row.siteTimeZone }
        : null,
    version: row.version,
    start: {
      sessionId: row.sessionId,
      clinicianId: row.clinicianId,
      mode: row.mode,
      startsAt: row.startsAt.toString(),
      roomId: row.roomId,
      interpreterId: row.interpreterId,
    },
  }))
}
