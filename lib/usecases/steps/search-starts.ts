/**
 * Looks for starts outward from the earliest, best group first, and reads for each part only the sessions that could
 * serve and what is taken of them: a search costs what it finds, not what the clinic has. Only a search that finds nothing
 * reads everybody's, again outward, for the one condition to release. Reads only; needs no lock and no transaction.
 */

import type { Db } from '#db/client.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { listActiveSites, loadSupply, type NamedSupply, type SupplyRange } from '#db/queries/supply.ts'
import { Temporal } from '#lib/base/time.ts'
import type { BookingCase } from '#lib/domain/booking/booking-case.ts'
import { demandOf, type Wishes } from '#lib/domain/booking/demand-of.ts'
import type { RelaxationKind, Start, WhyRanked } from '#lib/domain/calendar/demand.ts'
import { earliestRelease, helpfulReleases, rankedStarts } from '#lib/domain/calendar/find-starts.ts'
import { groupsOf, isInGroup, joined, windowsOf } from '#lib/domain/calendar/search-parts.ts'
import { prepareSupply, type VisitMode } from '#lib/domain/calendar/supply.ts'
import { DAY_MS, zoneClock } from '#lib/domain/calendar/zone-clock.ts'

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

/** A search over no more days than this reads all its sites together. */
const SHORT_DAYS = 8
/** How far ahead the breaches' help looks first. */
const FIRST_LOOK_DAYS = 14

/** Finds the starts a referral could have, or the relaxation that would give one. */
export async function searchStarts(
  db: Db,
  bookingCase: BookingCase,
  wishes: Wishes,
  clinic: Clinic,
  now: Temporal.Instant,
): Promise<Found> {
  const { clinicId, referralId, patient } = bookingCase
  const { policy, timeZone: clinicTimeZone } = clinic
  const sites = await listActiveSites(db, clinicId)
  const demand = demandOf(bookingCase, wishes, { policy, clinicTimeZone, sites, now })
  const begin = demand.notBefore
  const end = now.epochMilliseconds + 2 * policy.booking.horizonDays * DAY_MS
  const clock = zoneClock(demand.patientTimeZone, begin - 5 * DAY_MS, end + 5 * DAY_MS)
  const whose = {
    now,
    patientId: patient.id,
    referralId,
    interpreting: patient.interpreterLanguage,
    // Buffers are at most four hours long.
    reachMin: Math.max(demand.minutes, policy.visit.inPersonMin) + 8 * 60,
  }
  const load = (window: { from: number; to: number }, part: Pick<SupplyRange, 'clinicianId' | 'only' | 'rooms'>) =>
    loadSupply(db, clinicId, { ...whose, ...part, from: instantOf(window.from), to: instantOf(window.to) })

  const latest = Math.min(
    end,
    begin + demand.horizonDays * DAY_MS,
    demand.seeBy === null ? Number.POSITIVE_INFINITY : demand.seeBy + 1,
  )
  const found: Start[] = []
  const names: NamedSupply[] = []
  const isInPerson = demand.mode === 'in_person'
  // The sites of a few days are read together, and each group takes its own out of that.
  const isShort = latest - begin <= SHORT_DAYS * DAY_MS
  const reads = new Map<string, Promise<NamedSupply>>()
  const read = (window: { from: number; to: number }, clinicianId: string | null, siteId: string | null) => {
    const key = [window.from, window.to, clinicianId, siteId].join(' ')
    const only = { mode: demand.mode, state: demand.placeState, siteId }
    const known = reads.get(key) ?? load(window, { clinicianId, only, rooms: isInPerson })
    reads.set(key, known)
    return known
  }
  for (const group of groupsOf(demand)) {
    const clinicianId = group.clinician?.isWished ? group.clinician.id : null
    // One clinician's visits are few: they are read in one go, those of every site.
    const windows = clinicianId === null ? [...windowsOf(begin, latest, clock)] : [{ from: begin, to: latest }]
    let siteId = clinicianId !== null || isShort ? null : group.siteId
    for (let window = windows.shift(); window && window.from < latest; window = windows.shift()) {
      const loaded = await read(window, clinicianId, siteId)
      const supply = { ...loaded, sessions: loaded.sessions.filter((session) => isInGroup(session, group)) }
      const starts = rankedStarts(prepareSupply(supply, window.from, window.to), {
        ...demand,
        limit: demand.limit - found.length,
      })
      found.push(...starts)
      names.push(loaded)
      if (found.length >= demand.limit) break
      // Where nobody works, the rest is read in one go: most likely nobody does. Nor anywhere else, where it is for want of
      // somebody who speaks the language.
      if (loaded.clinicians.length === 0) {
        windows.splice(0, windows.length, { from: window.to, to: latest })
        if (whose.interpreting !== null && loaded.interpreters.length === 0) siteId = null
      }
    }
    if (found.length >= demand.limit) break
  }
  if (found.length > 0) {
    return {
      starts: joined(found).map((start) => offered(withLimit(start, bookingCase, wishes), namesOf(names))),
      relaxation: null,
    }
  }

  for (const window of windowsOf(begin, end, clock)) {
    const supply = await load(window, { clinicianId: null })
    const release = earliestRelease(prepareSupply(supply, window.from, window.to), demand)
    if (release)
      return { starts: [], relaxation: { kind: release.kind, start: offered(release.start, namesOf([supply])) } }
  }
  return { starts: [], relaxation: null }
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
  const few: Wishes = { ...wishes, clinicianId: null, dayPart: null, siteId: null, fromDay: null, limit: 6, perDay: 3 }
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

/** Everybody and every place that was read, by id. */
type Names = {
  clinicians: ReadonlyMap<string, NamedSupply['clinicians'][number]>
  interpreters: ReadonlyMap<string, NamedSupply['interpreters'][number]>
  sites: ReadonlyMap<string, NamedSupply['sites'][number]>
  rooms: ReadonlyMap<string, NamedSupply['rooms'][number]>
}

function namesOf(supplies: readonly NamedSupply[]): Names {
  const byId = <T extends { id: string }>(rows: readonly T[]) => new Map(rows.map((row) => [row.id, row]))
  return {
    clinicians: byId(supplies.flatMap(({ clinicians }) => clinicians)),
    interpreters: byId(supplies.flatMap(({ interpreters }) => interpreters)),
    sites: byId(supplies.flatMap(({ sites }) => sites)),
    rooms: byId(supplies.flatMap(({ rooms }) => rooms)),
  }
}

/** A limit that was set aside is still said: nobody picks a late start without reading that it is one. */
function withLimit(start: Start, { seeBy }: BookingCase, { released }: Wishes): Start {
  if (seeBy === null || !released.includes('after_see_by')) return start
  const hours = (start.start - seeBy.epochMilliseconds) / 3_600_000
  const limit: WhyRanked =
    hours <= 0
      ? { code: 'before_see_by', hoursLeft: Math.floor(-hours) }
      : { code: 'after_see_by', hoursLate: Math.floor(hours) }
  return { ...start, why: [limit, ...start.why] }
}

function offered(start: Start, { clinicians, interpreters, sites, rooms }: Names): OfferedStart {
  const clinician = clinicians.get(start.clinicianId)
  const site = sites.get(start.siteId ?? '')
  return {
    sessionId: start.sessionId,
    mode: start.mode,
    startsAt: isoOf(start.start),
    endsAt: isoOf(start.end),
    clinicianId: start.clinicianId,
    clinicianName: clinician?.name ?? '',
    clinicianCredentials: clinician?.credentials ?? '',
    interpreterId: start.interpreterId,
    interpreterName: interpreters.get(start.interpreterId ?? '')?.name ?? null,
    site: site ? { id: site.id, name: site.name, address: site.address, timeZone: site.timeZone } : null,
    roomId: start.roomId,
    roomName: rooms.get(start.roomId ?? '')?.name ?? null,
    rank: start.rank,
    why: start.why,
  }
}

function isoOf(milliseconds: number): string {
  return instantOf(milliseconds).toString()
}

function instantOf(milliseconds: number): Temporal.Instant {
  return Temporal.Instant.fromEpochMilliseconds(milliseconds)
}
