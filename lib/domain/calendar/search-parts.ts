/**
 * In which parts can a search be read, so that it stops as soon as it has enough? Starts of the wished clinician rank
 * before all others, those of a nearer site before those of a farther one, and within one of these groups the earlier
 * day of the patient's first. So each group is a search of its own, and each is read outward in ever longer windows that
 * end at midnight where the patient is: put one after the other, their answers are the answer of the whole.
 */
import type { Demand, Start } from './demand.ts'
import type { ClinicSession } from './session.ts'
import { DAY_MS, toInstant, toWall, type ZoneClock } from './zone-clock.ts'

/** Whose sessions a part reads; null = everybody's, anywhere. */
export type Group = { clinician: { id: string; isWished: boolean } | null; siteId: string | null }

/** The groups of a demand, best first. */
export function groupsOf({ clinician: wish, mode, siteIds }: Demand): Group[] {
  const people: Group['clinician'][] = wish ? [{ id: wish.clinicianId, isWished: true }] : [null]
  if (wish && !wish.only) people.push({ id: wish.clinicianId, isWished: false })
  const sites = mode === 'video' || siteIds.length === 0 ? [null] : [...new Set(siteIds)]
  return people.flatMap((clinician) => sites.map((siteId) => ({ clinician, siteId })))
}

/** Whether a session belongs to a group. An interpreter's belongs to every one. */
export function isInGroup({ owner, siteId }: ClinicSession, group: Group): boolean {
  if (owner.kind === 'interpreter') return true
  const { clinician } = group
  const isTheirs = clinician === null || (owner.id === clinician.id) === clinician.isWished
  return isTheirs && (group.siteId === null || siteId === group.siteId)
}

const FIRST_WINDOW_DAYS = 2
const TIMES_LONGER = 3

/** The windows from `from` to `to`, one behind the other. Most searches end in the first. */
export function* windowsOf(from: number, to: number, clock: ZoneClock): Generator<{ from: number; to: number }> {
  const firstDay = Math.floor(toWall(clock, from) / DAY_MS)
  let start = from
  for (let days = FIRST_WINDOW_DAYS; start < to; days *= TIMES_LONGER) {
    const end = Math.min(to, toInstant(clock, (firstDay + days) * DAY_MS))
    yield { from: start, to: end }
    start = end
  }
}

/** Starts found in parts, as one list: what is said of the whole is said of the whole. */
export function joined(parts: readonly Start[]): Start[] {
  const soonest = Math.min(...parts.map(({ start }) => start))
  return parts.map((each, index) => ({
    ...each,
    rank: index + 1,
    why: each.why.filter(({ code }) => code !== 'soonest' || each.start === soonest),
  }))
}
