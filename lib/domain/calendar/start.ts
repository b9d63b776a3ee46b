/** A start that was found, written down: who, where, from when to when, and why it ranks where it does. */
import type { Start, WhyRanked } from './demand.ts'
import { firstFit } from './interval.ts'
import type { Offer, Query, Terms } from './query.ts'
import { type OpenSession, speaks } from './supply.ts'
import { DAY_MS, MINUTE_MS, toWall, wallOfTime } from './zone-clock.ts'

/** Who and what else is taken by a start. */
export type Places = { roomId: string | null; interpreterId: string | null }
/** A start before it is ranked. */
export type Draft = Omit<Start, 'rank' | 'why'>

/** A free room and interpreter for a start, those asked for if any were. */
export function choose(
  query: Query,
  terms: Terms,
  start: number,
  wish?: Places,
): Places | 'no_room' | 'no_interpreter' {
  const pick = (offers: readonly Offer[], wished: string | null | undefined) =>
    offers.find(({ id, free }) => (!wished || wished === id) && firstFit(free, start, query.length) === start)?.id
  const roomId = terms.rooms ? pick(terms.rooms, wish?.roomId) : null
  if (roomId === undefined) return 'no_room'
  const interpreterId = terms.interpreters ? pick(terms.interpreters, wish?.interpreterId) : null
  if (interpreterId === undefined) return 'no_interpreter'
  return { roomId, interpreterId }
}

/** Every free room with every free interpreter for a start. */
export function everyPlace(query: Query, terms: Terms, start: number): Places[] {
  const free = (offers: readonly Offer[] | null) =>
    offers === null
      ? [null]
      : offers.filter((offer) => firstFit(offer.free, start, query.length) === start).map(({ id }) => id)
  const interpreters = free(terms.interpreters)
  return free(terms.rooms).flatMap((roomId) => interpreters.map((interpreterId) => ({ roomId, interpreterId })))
}

/** Writes a start down. */
export function draft({ demand, length }: Query, terms: Terms, start: number, places: Places): Draft {
  const { session, before, after } = terms
  return {
    clinicianId: session.owner.id,
    sessionId: session.id,
    mode: demand.mode,
    start,
    end: start + length,
    busyFrom: start - before,
    busyTo: start + length + after,
    siteId: demand.mode === 'video' ? null : session.siteId,
    ...places,
  }
}

/** Gives drafts, best first, their ranks and reasons. */
export function finish(query: Query, drafts: readonly Draft[]): Start[] {
  const soonest = Math.min(...drafts.map(({ start }) => start))
  return drafts.map((each, index) => ({ ...each, rank: index + 1, why: reasons(query, each, soonest) }))
}

function reasons(query: Query, each: Draft, soonest: number): WhyRanked[] {
  const { demand, supply } = query
  const why: WhyRanked[] = []
  if (demand.seeBy !== null) {
    const hours = Math.floor(Math.abs(demand.seeBy - each.start) / (60 * MINUTE_MS))
    why.push(
      each.start <= demand.seeBy
        ? { code: 'before_see_by', hoursLeft: hours }
        : { code: 'after_see_by', hoursLate: hours },
    )
  }
  if (demand.clinician) {
    why.push({ code: demand.clinician.clinicianId === each.clinicianId ? 'wished_clinician' : 'another_clinician' })
  }
  const nth = each.siteId === null ? 0 : demand.siteIds.indexOf(each.siteId) + 1
  if (nth > 0) why.push({ code: 'site_choice', nth })
  if (demand.dayPart) why.push({ code: inDayPart(query, each.start) ? 'wished_day_part' : 'another_day_part' })
  if (
    demand.interpreterLanguage !== null &&
    speaks(supply.languages.get(each.clinicianId) ?? [], demand.interpreterLanguage)
  ) {
    why.push({ code: 'clinician_speaks_language' })
  }
  const open = supply.sessions.get(each.sessionId)
  if (open && isKept(query, open, each)) why.push({ code: 'urgent_start' })
  if (open && each.start < demand.now + open.session.noticeMin * MINUTE_MS) why.push({ code: 'short_notice' })
  if (each.start === soonest) why.push({ code: 'soonest' })
  return why
}

/** Whether a start lies in minutes that are kept for urgent visits, and for an urgent one whether it uses them. */
function isKept({ demand, freeUntil }: Query, { session, openings }: OpenSession, { start, end }: Draft): boolean {
  const opening = openings.find((each) => each.start <= start && end <= each.end)
  if (session.urgentMin === 0 || !opening || end <= opening.end - session.urgentMin * MINUTE_MS) return false
  return demand.keptBy === null || opening.start > freeUntil(session.urgentReleaseHours)
}

/** Whether a start lies in the wished part of the patient's day. */
export function inDayPart({ demand, clock }: Query, start: number): boolean {
  if (!demand.dayPart) return false
  const wall = toWall(clock, start)
  const time = wall - Math.floor(wall / DAY_MS) * DAY_MS
  const from = wallOfTime(demand.dayPart.from)
  const to = wallOfTime(demand.dayPart.to)
  return from < to ? from <= time && time < to : time >= from || time < to
}
