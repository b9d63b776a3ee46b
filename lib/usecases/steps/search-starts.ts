/**
 * Looks for starts outward from the earliest: a fortnight first, then the whole horizon, and past it only when nothing
 * was found, so that a search reads what can matter and no more. Reads only; needs no lock and no transaction.
 */

import type { Db } from '#db/client.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { loadSupply, type NamedSupply } from '#db/queries/supply.ts'
import { Temporal } from '#lib/base/time.ts'
import type { BookingCase } from '#lib/domain/booking/booking-case.ts'
import { demandOf, type Wishes } from '#lib/domain/booking/demand-of.ts'
import type { RelaxationKind, Start, WhyRanked } from '#lib/domain/calendar/demand.ts'
import { findStarts, helpfulReleases } from '#lib/domain/calendar/find-starts.ts'
import { prepareSupply, type VisitMode } from '#lib/domain/calendar/supply.ts'

/** A start as a page shows it and a form sends it back. Instants are ISO text. */
export type OfferedStart = {
  sessionId: string
  mode: VisitMode
  startsAt: string
  endsAt: string
  clinicianId: string
  clinicianName: string
  clinicianCredentials: string
  interpreterId: string | null
  interpreterName: string | null
  site: { id: string; name: string; address: string; timeZone: string } | null
  roomId: string | null
  roomName: string | null
  rank: number
  why: WhyRanked[]
}

/** Starts of one day of the patient's (yyyy-mm-dd in their zone), soonest first. */
export type OfferedDay = { date: string; starts: OfferedStart[] }

export type Found = {
  /** Best first. */
  starts: OfferedStart[]
  /** The one condition whose release gives the earliest start; only when there are no starts. */
  relaxation: { kind: RelaxationKind; start: OfferedStart } | null
}

const FIRST_LOOK_DAYS = 14

/** Finds the starts a referral could have, or the relaxation that would give one. */
export async function searchStarts(
  db: Db,
  bookingCase: BookingCase,
  wishes: Wishes,
  clinic: Clinic,
  now: Temporal.Instant,
): Promise<Found & { supply: NamedSupply }> {
  const { horizonDays } = clinic.policy.booking
  const limitDays =
    wishes.released.includes('after_see_by') || bookingCase.seeBy === null
      ? horizonDays
      : Math.min(horizonDays, now.until(bookingCase.seeBy).total({ unit: 'hours' }) / 24)

  let days = Math.min(FIRST_LOOK_DAYS, 2 * horizonDays)
  for (;;) {
    const to = now.add({ hours: days * 24 })
    const supply = await loadSupply(db, bookingCase.clinicId, {
      from: now,
      to,
      now,
      patientId: bookingCase.patient.id,
      referralId: bookingCase.referralId,
      clinicianId: null,
      interpreting: bookingCase.patient.interpreterLanguage,
    })
    const rules = {
      policy: clinic.policy,
      clinicTimeZone: clinic.timeZone,
      sites: supply.sites,
      now,
    }
    const demand = demandOf(bookingCase, wishes, rules)
    const answer = findStarts(prepareSupply(supply, now.epochMilliseconds, to.epochMilliseconds), demand)
    const isWhole = days >= Math.min(limitDays, demand.horizonDays)
    const isEnough =
      answer.starts.length >= wishes.limit || (isWhole && (answer.starts.length > 0 || answer.relaxation))
    if (isEnough || days >= 2 * horizonDays) {
      return {
        supply,
        starts: answer.starts.map((start) => offered(start, supply)),
        relaxation: answer.relaxation && {
          kind: answer.relaxation.kind,
          start: offered(answer.relaxation.start, supply),
        },
      }
    }
    days = days < horizonDays ? horizonDays : 2 * horizonDays
  }
}

/**
 * Every condition that could be set aside for a search that found nothing, each with the earliest start it gives. Looked
 * for outward, as far as it takes to know the first start after the see-by time.
 */
export async function searchHelp(
  db: Db,
  bookingCase: BookingCase,
  wishes: Wishes,
  clinic: Clinic,
  now: Temporal.Instant,
): Promise<{ kind: RelaxationKind; startsAt: string }[]> {
  const { horizonDays } = clinic.policy.booking
  const { clinicId, referralId, patient, seeBy } = bookingCase
  const neededDays = seeBy === null ? horizonDays : now.until(seeBy).total({ unit: 'hours' }) / 24
  for (let days = FIRST_LOOK_DAYS; ; days = horizonDays) {
    const to = now.add({ hours: days * 24 })
    const supply = await loadSupply(db, clinicId, {
      from: now,
      to,
      now,
      patientId: patient.id,
      referralId,
      clinicianId: null,
      interpreting: patient.interpreterLanguage,
    })
    const rules = { policy: clinic.policy, clinicTimeZone: clinic.timeZone, sites: supply.sites, now }
    const prepared = prepareSupply(supply, now.epochMilliseconds, to.epochMilliseconds)
    const help = helpfulReleases(prepared, demandOf(bookingCase, wishes, rules))
    const isWhole = days >= neededDays && help.some(({ kind }) => kind === 'after_see_by')
    if (isWhole || days >= horizonDays) {
      return help.map(({ kind, start }) => ({ kind, startsAt: isoOf(start.start) }))
    }
  }
}

/** The next best starts for somebody who has just lost one: few, and spread over days. */
export async function nextBestStarts(
  db: Db,
  bookingCase: BookingCase,
  wishes: Pick<Wishes, 'askedBy' | 'mode' | 'released' | 'before'>,
  now: Temporal.Instant,
): Promise<OfferedStart[]> {
  const clinic = await getClinic(db, bookingCase.clinicId)
  const few: Wishes = { ...wishes, clinicianId: null, dayPart: null, siteId: null, limit: 6, perDay: 3 }
  return (await searchStarts(db, bookingCase, few, clinic, now)).starts
}

/** Groups starts by the patient's own day. */
export function byDay(starts: readonly OfferedStart[], timeZone: string): OfferedDay[] {
  const dateOf = (start: OfferedStart) =>
    Temporal.Instant.from(start.startsAt).toZonedDateTimeISO(timeZone).toPlainDate().toString()
  return [...Map.groupBy(starts, dateOf)]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([date, ofDay]) => ({ date, starts: ofDay.toSorted((a, b) => (a.startsAt < b.startsAt ? -1 : 1)) }))
}

function offered(start: Start, supply: NamedSupply): OfferedStart {
  const clinician = supply.clinicians.find(({ id }) => id === start.clinicianId)
  const site = supply.sites.find(({ id }) => id === start.siteId)
  return {
    sessionId: start.sessionId,
    mode: start.mode,
    startsAt: isoOf(start.start),
    endsAt: isoOf(start.end),
    clinicianId: start.clinicianId,
    clinicianName: clinician?.name ?? '',
    clinicianCredentials: clinician?.credentials ?? '',
    interpreterId: start.interpreterId,
    interpreterName: supply.interpreters.find(({ id }) => id === start.interpreterId)?.name ?? null,
    site: site ? { id: site.id, name: site.name, address: site.address, timeZone: site.timeZone } : null,
    roomId: start.roomId,
    roomName: supply.rooms.find(({ id }) => id === start.roomId)?.name ?? null,
    rank: start.rank,
    why: start.why,
  }
}

function isoOf(milliseconds: number): string {
  return Temporal.Instant.fromEpochMilliseconds(milliseconds).toString()
}
