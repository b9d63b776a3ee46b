/**
 * What has the clinic to offer? Openings, free time and licences, worked out
 * once for a range and then read by any number of searches. Holds count as busy
 * like visits; the caller leaves out holds that ran out.
 *
 * A clinician is taken from the buffer before a visit to the buffer after it,
 * and a clinician's busy time already has its buffers in it. Patient, room and
 * interpreter are taken for the visit itself.
 */
import { complement, type Interval, intersect, merge, type Timeline } from './interval.ts'
import { type ClinicSession, openingsOf } from './session.ts'
import { DAY_MS, wallOfDate, type ZoneClock, zoneClock } from './zone-clock.ts'

export const RESOURCES = ['clinician', 'interpreter', 'room', 'patient'] as const
export type Resource = (typeof RESOURCES)[number]

export type VisitMode = 'video' | 'in_person'

/** Time that is taken (epoch milliseconds). */
export type Busy = { resource: Resource; id: string; start: number; end: number }

/** The right to examine a patient who is in `state`, on dates from `validFrom` to `validTo`, both inclusive. */
export type Licence = { clinicianId: string; state: string; validFrom: string; validTo: string | null }

export type Supply = {
  sessions: readonly ClinicSession[]
  /** From the moment of the search on, because hours until kept starts come free are counted past them. */
  holidays: readonly string[]
  /** A session whose owner is not listed here or in `interpreters` offers nothing. */
  clinicians: readonly { id: string; languages: readonly string[] }[]
  interpreters: readonly { id: string; languages: readonly string[] }[]
  licences: readonly Licence[]
  sites: readonly { id: string; state: string }[]
  rooms: readonly { id: string; siteId: string }[]
  busy: readonly Busy[]
}

/** A session with the stretches in which it is open, by start. */
export type OpenSession = { session: ClinicSession; openings: readonly Interval[] }

/** An index over a supply. Never changed once made; safe to share between searches. */
export type PreparedSupply = {
  from: number
  to: number
  /** Of the clinicians, by id of the session. */
  sessions: ReadonlyMap<string, OpenSession>
  languages: ReadonlyMap<string, readonly string[]>
  interpreters: readonly { id: string; languages: readonly string[]; sessions: readonly OpenSession[] }[]
  /** By clinician; valid in [fromWall, toWall) where the patient is. */
  licences: ReadonlyMap<string, readonly { state: string; fromWall: number; toWall: number }[]>
  stateOfSite: ReadonlyMap<string, string>
  roomsAt: ReadonlyMap<string, readonly string[]>
  free: Readonly<Record<Resource, ReadonlyMap<string, Timeline>>>
  clocks: ReadonlyMap<string, ZoneClock>
  holidays: ReadonlySet<string>
}

/** Prepares a supply for searches for starts in [from, to). */
export function prepareSupply(supply: Supply, from: number, to: number): PreparedSupply {
  const holidays = new Set(supply.holidays)
  const clocks = new Map<string, ZoneClock>()
  for (const { timeZone } of supply.sessions) {
    if (!clocks.has(timeZone)) clocks.set(timeZone, zoneClock(timeZone, from - 5 * DAY_MS, to + 5 * DAY_MS))
  }
  // A visit that starts before the end of the range may need an interpreter who begins after it.
  const expand = (session: ClinicSession): OpenSession => ({
    session,
    openings: openingsOf(session, clocks.get(session.timeZone) as ZoneClock, from, to + DAY_MS, holidays),
  })

  const languages = new Map(supply.clinicians.map((clinician) => [clinician.id, clinician.languages]))
  const ofClinicians = supply.sessions.filter(({ owner }) => owner.kind === 'clinician' && languages.has(owner.id))
  const ofInterpreters = Map.groupBy(
    supply.sessions.filter(({ owner }) => owner.kind === 'interpreter'),
    ({ owner }) => owner.id,
  )
  return {
    from,
    to,
    sessions: new Map(ofClinicians.map((session) => [session.id, expand(session)])),
    languages,
    interpreters: supply.interpreters.map((interpreter) => ({
      ...interpreter,
      sessions: (ofInterpreters.get(interpreter.id) ?? []).map(expand),
    })),
    licences: Map.groupBy(
      supply.licences.map(({ clinicianId, state, validFrom, validTo }) => ({
        clinicianId,
        state,
        fromWall: wallOfDate(validFrom),
        toWall: validTo === null ? Number.POSITIVE_INFINITY : wallOfDate(validTo) + DAY_MS,
      })),
      ({ clinicianId }) => clinicianId,
    ),
    stateOfSite: new Map(supply.sites.map(({ id, state }) => [id, state])),
    roomsAt: new Map(
      [...Map.groupBy(supply.rooms, ({ siteId }) => siteId)].map(([siteId, rooms]) => [
        siteId,
        rooms.map(({ id }) => id),
      ]),
    ),
    free: freeTime(supply.busy),
    clocks,
    holidays,
  }
}

/** Whether a list of BCP 47 tags serves a wanted one: the primary language decides ('es-MX' serves 'es'). */
export function speaks(languages: readonly string[], wanted: string): boolean {
  const primary = (tag: string) => tag.toLowerCase().split('-', 1)[0]
  return languages.some((tag) => primary(tag) === primary(wanted))
}

/** When an interpreter can work in a mode (and, in person, at a site). */
export function interpreterFree(
  supply: PreparedSupply,
  interpreter: PreparedSupply['interpreters'][number],
  mode: VisitMode,
  siteId: string | null,
): Timeline {
  const open = interpreter.sessions
    .filter(({ session }) => session.mode === 'either' || session.mode === mode)
    .filter(({ session }) => mode === 'video' || session.siteId === null || session.siteId === siteId)
    .flatMap(({ openings }) => openings)
  const free = supply.free.interpreter.get(interpreter.id)
  return free ? intersect(merge(open), free) : merge(open)
}

function freeTime(busy: readonly Busy[]): PreparedSupply['free'] {
  const byResource = Map.groupBy(busy, ({ resource }) => resource)
  const freeOf = (resource: Resource) => {
    const byId = Map.groupBy(byResource.get(resource) ?? [], ({ id }) => id)
    return new Map([...byId].map(([id, taken]: [string, Interval[]]) => [id, complement(merge(taken))]))
  }
  return {
    clinician: freeOf('clinician'),
    interpreter: freeOf('interpreter'),
    room: freeOf('room'),
    patient: freeOf('patient'),
  }
}
