/**
 * Where does one visit fit? A demand is made ready against a supply: every
 * condition becomes a timeline of free time. A start is good when all of them
 * have room for it; when one has not, the search jumps to the first moment at
 * which that one has. What depends on the session alone is worked out once for
 * each session, and a session that can never serve is passed over.
 */
import type { Demand } from './demand.ts'
import { ALWAYS, firstFit, type Interval, intersect, merge, type Timeline } from './interval.ts'
import type { ClinicSession } from './session.ts'
import { interpreterFree, type OpenSession, type PreparedSupply, speaks, type VisitMode } from './supply.ts'
import { type WeeklyWindow, windowsBetween } from './weekly-window.ts'
import { afterWorkingHours } from './working-time.ts'
import { DAY_MS, edgeInstant, MINUTE_MS, type ZoneClock, zoneClock } from './zone-clock.ts'

/** A room or an interpreter that could serve. */
export type Offer = { id: string; free: Timeline }

/** What one session brings to a query, in milliseconds and timelines. */
export type Terms = OpenSession & {
  grain: number
  before: number
  after: number
  /** The first instant that the notice period allows. */
  noticed: number
  /** At the end of each opening that starts after `freeUntil`, so much is not for this visit. */
  kept: number
  freeUntil: number
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
  /** The start of the last opening whose kept minutes are free by now, by the hours for which a session keeps them. */
  freeUntil: (releaseHours: number) => number
  termsOf: (session: OpenSession) => Terms
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
  const interpretersFor = interpreterOffers(supply, demand)
  const freeUntil = keptTimes(supply, demand)
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
    freeUntil,
    termsOf: ({ session, openings }) => ({
      session,
      openings,
      grain: session.grainMin * MINUTE_MS,
      before: session.bufferBeforeMin * MINUTE_MS,
      after: session.bufferAfterMin * MINUTE_MS,
      noticed: demand.now + (demand.anyNotice ? 0 : session.noticeMin * MINUTE_MS),
      kept: demand.keptBy === null ? 0 : session.urgentMin * MINUTE_MS,
      freeUntil: session.urgentMin === 0 ? Number.POSITIVE_INFINITY : freeUntil(session.urgentReleaseHours),
      clinicianFree: supply.free.clinician.get(session.owner.id) ?? ALWAYS,
      licensed: anyState ? ALWAYS : licenceTimes(supply, demand, session, clock),
      rooms: demand.mode === 'video' ? null : roomOffers(supply, session),
      interpreters: interpretersFor(session),
    }),
  }
}

/** The terms of every session that can serve on some date. */
export function servingTerms({ supply, demand, termsOf }: Query): Terms[] {
  const wish = demand.clinician
  const serving: Terms[] = []
  for (const each of supply.sessions.values()) {
    const { session } = each
    if (wish?.only && session.owner.id !== wish.clinicianId) continue
    if (!servesMode(session, demand.mode) || !servesSite(session, demand)) continue
    const terms = termsOf(each)
    const isNever = terms.licensed.length === 0 || terms.rooms?.length === 0 || terms.interpreters?.length === 0
    if (!isNever) serving.push(terms)
  }
  return serving
}

/** The first good start of an opening at or after `from`; Infinity when none is left. */
export function nextStart(query: Query, terms: Terms, opening: Interval, from: number): number {
  const { length } = query
  const { before, after, rooms, interpreters } = terms
  const last = Math.min(closesFor(terms, opening) - length, query.to - 1)
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

/** Until when an opening may be used by this visit: without the minutes that are still kept for urgent ones. */
export function closesFor({ kept, freeUntil }: Terms, opening: Interval): number {
  return opening.start > freeUntil ? opening.end - kept : opening.end
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
    held.map(({ fromWall, toWall }) => ({ start: edgeInstant(clock, fromWall), end: edgeInstant(clock, toWall) })),
  )
}

function roomOffers(supply: PreparedSupply, { roomId, siteId }: ClinicSession): Offer[] {
  const ids = roomId === null ? (supply.roomsAt.get(siteId ?? '') ?? []) : [roomId]
  return ids.map((id) => ({ id, free: supply.free.room.get(id) ?? ALWAYS }))
}

/** Interpreters by site, once each; null where the clinician needs none. */
function interpreterOffers(supply: PreparedSupply, demand: Demand): (session: ClinicSession) => Offer[] | null {
  const { interpreterLanguage: language, mode } = demand
  if (language === null) return () => null
  const able = supply.interpreters.filter(({ languages }) => speaks(languages, language))
  const offersAt = remember((siteId: string | null) =>
    able
      .map((each) => ({ id: each.id, free: interpreterFree(supply, each, mode, siteId) }))
      .filter(({ free }) => free.length > 0),
  )
  return ({ owner, siteId }) => {
    if (speaks(supply.languages.get(owner.id) ?? [], language)) return null
    return offersAt(mode === 'video' ? null : siteId)
  }
}

function keptTimes(supply: PreparedSupply, { keptBy, now }: Demand): (releaseHours: number) => number {
  if (keptBy === null) return () => Number.POSITIVE_INFINITY
  const { timeZone } = keptBy
  const clock = supply.clocks.get(timeZone) ?? zoneClock(timeZone, now - 5 * DAY_MS, supply.to + 5 * DAY_MS)
  return remember((hours) => afterWorkingHours(now, hours, keptBy, clock, supply.holidays, supply.to))
}

function remember<K, T>(work: (key: K) => T): (key: K) => T {
  const known = new Map<K, T>()
  return (key) => {
    let value = known.get(key)
    if (value === undefined) {
      value = work(key)
      known.set(key, value)
    }
    return value
  }
}
