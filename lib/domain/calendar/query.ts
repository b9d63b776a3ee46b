/**
 * Where does one visit fit? A demand is made ready against a supply: every
 * condition becomes a timeline of free time. A start is good when all of them
 * have room for it; when one has not, the search jumps to the first moment at
 * which that one has.
 */
import type { Demand } from './demand.ts'
import { ALWAYS, firstFit, intersect, merge, type Timeline } from './interval.ts'
import type { ClinicSession } from './session.ts'
import { interpreterFree, type Opening, type PreparedSupply, speaks, type VisitMode } from './supply.ts'
import { type WeeklyWindow, windowsBetween } from './weekly-window.ts'
import { DAY_MS, MINUTE_MS, toInstant, wallOfDate, type ZoneClock, zoneClock } from './zone-clock.ts'

/** The first good start of an opening at or after `from`; Infinity when none is left. */
export function nextStart(query: Query, opening: Opening, from: number): number {
  const { session } = opening
  const before = session.bufferBeforeMin * MINUTE_MS
  const after = session.bufferAfterMin * MINUTE_MS
  const last = Math.min(opening.end - query.length, query.to - 1)
  const earliest = Math.max(from, opening.start, query.from, query.demand.now + session.noticeMin * MINUTE_MS)
  let start = onGrain(opening, earliest)
  if (start > last) return Number.POSITIVE_INFINITY

  const clinicianFree = query.clinicianFree(opening.clinicianId)
  const licensed = query.licensed(opening)
  const rooms = query.rooms(opening)
  const interpreters = query.interpreters(opening)
  while (start <= last) {
    let at = firstFit(clinicianFree, start - before, before + query.length + after) + before
    at = firstFit(query.patient, at, query.length)
    at = firstFit(query.dayPart, at, 0)
    at = firstFit(query.helperTimes, at + query.helperFrom, query.helperLength) - query.helperFrom
    at = firstFit(licensed, at, query.length)
    if (rooms) at = firstOfAny(rooms, at, query.length)
    if (interpreters) at = firstOfAny(interpreters, at, query.length)
    if (at === start) return start
    start = onGrain(opening, at)
  }
  return Number.POSITIVE_INFINITY
}

/** A room or an interpreter that could serve. */
export type Offer = { id: string; free: Timeline }

/** A demand made ready against a supply: every condition as a timeline. */
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
  servesSite: (session: ClinicSession) => boolean
  clinicianFree: (clinicianId: string) => Timeline
  licensed: (opening: Opening) => Timeline
  /** Null = the visit needs none. */
  rooms: (opening: Opening) => readonly Offer[] | null
  interpreters: (opening: Opening) => readonly Offer[] | null
}

/** Makes a demand ready. With `anyState` the place of the patient and the licences are not asked about. */
export function compile(supply: PreparedSupply, demand: Demand, anyState = false): Query {
  const { mode, helper } = demand
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
    servesSite: ({ siteId }) =>
      mode === 'video' || (siteId !== null && (demand.siteIds.length === 0 || demand.siteIds.includes(siteId))),
    clinicianFree: (clinicianId) => supply.free.clinician.get(clinicianId) ?? ALWAYS,
    licensed: anyState ? () => ALWAYS : licenceTimes(supply, demand, clock),
    rooms: mode === 'video' ? () => null : roomOffers(supply),
    interpreters: interpreterOffers(supply, demand),
  }
}

/** The openings that can serve a query, in order of start. */
export function servingOpenings(query: Query, openings: readonly Opening[]): Opening[] {
  return openings.filter(
    ({ session, end }) => end > query.from && servesMode(session, query.demand.mode) && query.servesSite(session),
  )
}

/** Whether a session takes visits of a mode. */
export function servesMode(session: ClinicSession, mode: VisitMode): boolean {
  return session.mode === 'either' || session.mode === mode
}

/** The first start on the session's grain at or after an instant. */
export function onGrain({ start, session }: Opening, t: number): number {
  const grain = session.grainMin * MINUTE_MS
  return start + Math.ceil((t - start) / grain) * grain
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
function licenceTimes(supply: PreparedSupply, demand: Demand, patientClock: ZoneClock): Query['licensed'] {
  return remember(
    ({ clinicianId, session }) =>
      `${clinicianId} ${demand.mode === 'video' ? '' : `${session.siteId} ${session.timeZone}`}`,
    ({ clinicianId, session }) => {
      const isVideo = demand.mode === 'video'
      const state = isVideo ? demand.placeState : supply.stateOfSite.get(session.siteId ?? '')
      const clock = isVideo ? patientClock : (supply.clocks.get(session.timeZone) as ZoneClock)
      const held = (supply.licences.get(clinicianId) ?? []).filter((licence) => licence.state === state)
      return merge(
        held.map(({ validFrom, validTo }) => ({
          start: toInstant(clock, wallOfDate(validFrom)),
          end: validTo === null ? Number.POSITIVE_INFINITY : toInstant(clock, wallOfDate(validTo) + DAY_MS),
        })),
      )
    },
  )
}

function roomOffers(supply: PreparedSupply): Query['rooms'] {
  return remember(
    ({ session }) => session.id,
    ({ session }) => {
      const ids = session.roomId === null ? (supply.roomsAt.get(session.siteId ?? '') ?? []) : [session.roomId]
      return ids.map((id) => ({ id, free: supply.free.room.get(id) ?? ALWAYS }))
    },
  )
}

function interpreterOffers(supply: PreparedSupply, demand: Demand): Query['interpreters'] {
  const { interpreterLanguage: language, mode } = demand
  if (language === null) return () => null
  const able = supply.interpreters.filter(({ languages }) => speaks(languages, language))
  const offersAt = remember(
    ({ session }) => (mode === 'video' ? '' : (session.siteId ?? '')),
    ({ session }): readonly Offer[] | null =>
      able.map((each) => ({ id: each.id, free: interpreterFree(supply, each, mode, session.siteId) })),
  )
  const clinicianSpeaks = remember(
    ({ clinicianId }) => clinicianId,
    ({ clinicianId }) => speaks(supply.languages.get(clinicianId) ?? [], language),
  )
  return (opening) => (clinicianSpeaks(opening) ? null : offersAt(opening))
}

function remember<T>(keyOf: (opening: Opening) => string, work: (opening: Opening) => T): (opening: Opening) => T {
  const known = new Map<string, T>()
  return (opening) => {
    const key = keyOf(opening)
    let value = known.get(key)
    if (value === undefined) {
      value = work(opening)
      known.set(key, value)
    }
    return value
  }
}
