/**
 * Where does one visit fit? A demand is made ready against a supply: every
 * condition becomes a timeline of free time. A start is good when all of them
 * have room for it; when one has not, the search jumps to the first moment at
 * which that one has. What depends on the session alone is worked out once for
 * each session, and a session that can never serve is passed over.
 */
import type { Demand } from './demand.ts'
import { ALWAYS, firstFit, intersect, merge, type Timeline } from './interval.ts'
import type { ClinicSession } from './session.ts'
import { interpreterFree, type Opening, type PreparedSupply, speaks, type VisitMode } from './supply.ts'
import { type WeeklyWindow, windowsBetween } from './weekly-window.ts'
import { DAY_MS, MINUTE_MS, toInstant, wallOfDate, type ZoneClock, zoneClock } from './zone-clock.ts'

/** A room or an interpreter that could serve. */
export type Offer = { id: string; free: Timeline }

/** What one session brings to a query, in milliseconds and timelines. */
export type Terms = {
  grain: number
  before: number
  after: number
  /** The first instant that the notice period allows. */
  noticed: number
  clinicianFree: Timeline
  licensed: Timeline
  /** Null = the visit needs none. */
  rooms: readonly Offer[] | null
  interpreters: readonly Offer[] | null
}

/** A demand made ready against a supply. */
export type Query = {
  supply: PreparedSupply
  demand: Demand
  clock: ZoneClock
  /** Starts lie in [from, to). */
  from: number
  to: number
  length: number
  helperFrom: number
  helperLength: number
  patientTimes: Timeline
  patientFree: Timeline
  /** Both of the above. */
  patient: Timeline
  dayPart: Timeline
  helperTimes: Timeline
  /** The terms of a session. */
  termsOf: (session: ClinicSession) => Terms
  /** The same; null when the session cannot serve on any date. */
  servingTermsOf: (session: ClinicSession) => Terms | null
}

/** Makes a demand ready. With `anyState` the place of the patient and the licences are not asked about. */
export function compile(supply: PreparedSupply, demand: Demand, anyState = false): Query {
  const { helper } = demand
  const from = Math.max(demand.now, demand.notBefore, supply.from)
  const horizon = Math.max(demand.now, demand.notBefore) + demand.horizonDays * DAY_MS
  const to = Math.min(horizon, supply.to, demand.seeBy === null ? Number.POSITIVE_INFINITY : demand.seeBy + 1)
  const clock =
    supply.clocks.get(demand.patientTimeZone) ??
    zoneClock(demand.patientTimeZone, supply.from - 5 * DAY_MS, supply.to + 5 * DAY_MS)
  const times = (windows: readonly WeeklyWindow[]) =>
    windows.length === 0 || from >= to ? ALWAYS : windowsBetween(windows, clock, from, to + DAY_MS)

  const patientTimes = times(demand.patientWindows)
  const patientFree = (demand.patientId !== null && supply.free.patient.get(demand.patientId)) || ALWAYS
  const part = demand.dayPart
  const everyDay = [1, 2, 3, 4, 5, 6, 7]
  const termsOf = remember((session: ClinicSession) => termsFor(supply, demand, session, anyState ? null : clock))
  return {
    supply,
    demand,
    clock,
    from,
    to,
    length: demand.minutes * MINUTE_MS,
    helperFrom: (helper?.fromMin ?? 0) * MINUTE_MS,
    helperLength: helper ? (helper.toMin - helper.fromMin) * MINUTE_MS : 0,
    patientTimes,
    patientFree,
    patient: intersect(patientTimes, patientFree),
    dayPart: part?.only ? times(everyDay.map((weekday) => ({ weekday, from: part.from, to: part.to }))) : ALWAYS,
    helperTimes: helper ? times(demand.helperWindows) : ALWAYS,
    termsOf,
    servingTermsOf: remember((session) => {
      if (!servesMode(session, demand.mode) || !servesSite(session, demand)) return null
      const terms = termsOf(session)
      const isNever = terms.licensed.length === 0 || terms.rooms?.length === 0 || terms.interpreters?.length === 0
      return isNever ? null : terms
    }),
  }
}

/** The first good start of an opening at or after `from`; Infinity when none is left. */
export function nextStart(query: Query, terms: Terms, opening: Opening, from: number): number {
  const { length } = query
  const { before, after, rooms, interpreters } = terms
  const last = Math.min(opening.end - length, query.to - 1)
  let start = onGrain(opening.start, terms.grain, Math.max(from, opening.start, query.from, terms.noticed))
  while (start <= last) {
    let at = firstFit(terms.clinicianFree, start - before, before + length + after) + before
    at = firstFit(query.patient, at, length)
    at = firstFit(query.dayPart, at, 0)
    at = firstFit(query.helperTimes, at + query.helperFrom, query.helperLength) - query.helperFrom
    at = firstFit(terms.licensed, at, length)
    if (rooms) at = firstOfAny(rooms, at, length)
    if (interpreters) at = firstOfAny(interpreters, at, length)
    if (at === start) return start
    start = onGrain(opening.start, terms.grain, at)
  }
  return Number.POSITIVE_INFINITY
}

/** Whether a session takes visits of a mode. */
export function servesMode(session: ClinicSession, mode: VisitMode): boolean {
  return session.mode === 'either' || session.mode === mode
}

/** Whether a session is at a site that was asked for. By video any site will do. */
export function servesSite({ siteId }: ClinicSession, { mode, siteIds }: Demand): boolean {
  return mode === 'video' || (siteId !== null && (siteIds.length === 0 || siteIds.includes(siteId)))
}

/** The first start on the grain, counted from the opening, at or after an instant. */
export function onGrain(opens: number, grain: number, t: number): number {
  return opens + Math.ceil((t - opens) / grain) * grain
}

function firstOfAny(offers: readonly Offer[], from: number, length: number): number {
  let first = Number.POSITIVE_INFINITY
  for (const { free } of offers) {
    first = Math.min(first, firstFit(free, from, length))
    if (first === from) break
  }
  return first
}

function termsFor(
  supply: PreparedSupply,
  demand: Demand,
  session: ClinicSession,
  patientClock: ZoneClock | null,
): Terms {
  const clinicianId = session.owner.id
  return {
    grain: session.grainMin * MINUTE_MS,
    before: session.bufferBeforeMin * MINUTE_MS,
    after: session.bufferAfterMin * MINUTE_MS,
    noticed: demand.now + session.noticeMin * MINUTE_MS,
    clinicianFree: supply.free.clinician.get(clinicianId) ?? ALWAYS,
    licensed: patientClock ? licenceTimes(supply, demand, session, patientClock) : ALWAYS,
    rooms: demand.mode === 'video' ? null : roomOffers(supply, session),
    interpreters: interpreterOffers(supply, demand, session),
  }
}

/** The licence must be valid on the day where the patient is: at home for video, at the site in person. */
function licenceTimes(
  supply: PreparedSupply,
  demand: Demand,
  session: ClinicSession,
  patientClock: ZoneClock,
): Timeline {
  const isVideo = demand.mode === 'video'
  const state = isVideo ? demand.placeState : supply.stateOfSite.get(session.siteId ?? '')
  const clock = isVideo ? patientClock : (supply.clocks.get(session.timeZone) as ZoneClock)
  const held = (supply.licences.get(session.owner.id) ?? []).filter((licence) => licence.state === state)
  return merge(
    held.map(({ validFrom, validTo }) => ({
      start: toInstant(clock, wallOfDate(validFrom)),
      end: validTo === null ? Number.POSITIVE_INFINITY : toInstant(clock, wallOfDate(validTo) + DAY_MS),
    })),
  )
}

function roomOffers(supply: PreparedSupply, { roomId, siteId }: ClinicSession): Offer[] {
  const ids = roomId === null ? (supply.roomsAt.get(siteId ?? '') ?? []) : [roomId]
  return ids.map((id) => ({ id, free: supply.free.room.get(id) ?? ALWAYS }))
}

function interpreterOffers(supply: PreparedSupply, demand: Demand, session: ClinicSession): Offer[] | null {
  const { interpreterLanguage: language, mode } = demand
  if (language === null || speaks(supply.languages.get(session.owner.id) ?? [], language)) return null
  return supply.interpreters
    .filter(({ languages }) => speaks(languages, language))
    .map((each) => ({ id: each.id, free: interpreterFree(supply, each, mode, session.siteId) }))
    .filter(({ free }) => free.length > 0)
}

function remember<T>(work: (session: ClinicSession) => T): (session: ClinicSession) => T {
  const known = new Map<ClinicSession, T>()
  return (session) => {
    let value = known.get(session)
    if (value === undefined) {
      value = work(session)
      known.set(session, value)
    }
    return value
  }
}
