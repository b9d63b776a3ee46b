/**
 * Every start that a visit of a lost session could have, with what each costs the patient. From the same search as any
 * other start, so nothing is proposed that could not be booked; only the see-by time is no limit here but the gravest
 * cost, because a visit too late is still better than none.
 */
import type { Demand } from '../calendar/demand.ts'
import { compile, nextStart, servingTerms } from '../calendar/query.ts'
import { draft, everyPlace } from '../calendar/start.ts'
import type { PreparedSupply } from '../calendar/supply.ts'
import { DAY_MS, MINUTE_MS, toWall, type ZoneClock } from '../calendar/zone-clock.ts'
import { enough } from './keep-cheapest.ts'
import { compareCost, type FoundStart, type MoveCost, type Option } from './placement.ts'

/** The visit as it stands, before it is moved. */
export type Was = { clinicianId: string; start: number; siteId: string | null }

/** Without a start a visit is certainly not seen in time. */
export const UNPLACED: MoveCost = { missed: 1, unplaced: 1, otherClinician: 0, days: 0, minutes: 0 }

/** Another site is a journey to another place: as far from what was wished as a whole day. */
const OTHER_SITE_MIN = 24 * 60

/** What a start costs a visit that was at another. Days and time of day are the patient's. */
export function moveCost(
  start: Pick<FoundStart, 'clinicianId' | 'start' | 'siteId'>,
  was: Was,
  seeBy: number | null,
  clock: ZoneClock,
): MoveCost {
  const [there, here] = [toWall(clock, was.start), toWall(clock, start.start)]
  const [dayThere, dayHere] = [Math.floor(there / DAY_MS), Math.floor(here / DAY_MS)]
  const apart = Math.abs(here - dayHere * DAY_MS - (there - dayThere * DAY_MS))
  return {
    missed: Number(seeBy !== null && start.start > seeBy),
    unplaced: 0,
    otherClinician: Number(start.clinicianId !== was.clinicianId),
    days: Math.abs(dayHere - dayThere),
    minutes: Math.round(apart / MINUTE_MS) + (start.siteId === was.siteId ? 0 : OTHER_SITE_MIN),
  }
}

/** Days around the lost one within which other clinicians are asked, as far as it takes. */
const REACHES = [7, 21, 60, Number.POSITIVE_INFINITY] as const

/**
 * The options of one visit, cheapest first, as many as can matter beside so many other visits. The clinician of the visit
 * is asked about all of the time, the others outward from the day that was lost: further away they only cost more.
 * `seeBy` is kept apart from the demand, which knows no limit.
 */
export function optionsOf(
  supply: PreparedSupply,
  demand: Demand,
  was: Was,
  seeBy: number | null,
  others: number,
): Option[] {
  const { clock } = compile(supply, demand)
  const find = (limits: Partial<Demand>, isWanted: (clinicianId: string) => boolean) =>
    startsOf(supply, { ...demand, ...limits }, isWanted).map(
      (start): Option => ({ start, cost: moveCost(start, was, seeBy, clock) }),
    )
  const own = find({ clinician: { clinicianId: was.clinicianId, only: true } }, () => true)
  const longest = demand.minutes * MINUTE_MS + longestBuffers(supply)
  for (const reach of REACHES) {
    const around = find(within(demand, was.start, reach), (clinicianId) => clinicianId !== was.clinicianId)
    const options = [...own, ...around].sort((a, b) => compareCost(a.cost, b.cost))
    // Up to here nothing that lies outside the reach could be cheaper.
    const complete = options.filter(
      ({ cost }) => cost.missed === 0 && (cost.otherClinician === 0 || cost.days + 1 < reach),
    )
    const patient = { patientId: demand.patientId ?? '' }
    if (reach === Number.POSITIVE_INFINITY || enough(patient, options, longest, others) <= complete.length)
      return options
  }
  return own
}

function within(demand: Demand, day: number, reach: number): Partial<Demand> {
  if (reach === Number.POSITIVE_INFINITY) return {}
  const begin = Math.max(demand.now, demand.notBefore)
  const notBefore = Math.max(begin, day - reach * DAY_MS)
  const end = Math.min(begin + demand.horizonDays * DAY_MS, day + reach * DAY_MS)
  return { notBefore, horizonDays: Math.max(0, (end - notBefore) / DAY_MS) }
}

function startsOf(supply: PreparedSupply, demand: Demand, isWanted: (clinicianId: string) => boolean): FoundStart[] {
  const query = compile(supply, demand)
  const found: FoundStart[] = []
  for (const terms of servingTerms(query)) {
    if (!isWanted(terms.session.owner.id)) continue
    for (const opening of terms.openings) {
      if (opening.end <= query.from || opening.start >= query.to) continue
      let start = nextStart(query, terms, opening, query.from)
      while (start < query.to) {
        for (const places of everyPlace(query, terms, start)) found.push(draft(query, terms, start, places))
        start = nextStart(query, terms, opening, start + 1)
      }
    }
  }
  return found
}

function longestBuffers({ sessions }: PreparedSupply): number {
  const buffers = [...sessions.values()].map(({ session }) => session.bufferBeforeMin + session.bufferAfterMin)
  return Math.max(0, ...buffers) * MINUTE_MS
}
