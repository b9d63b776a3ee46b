/**
 * When can this visit start? The slot search: bookable starts, best first, each
 * with why it ranks there. When there is none it names the one condition whose
 * release gives the earliest start.
 *
 * See-by is a hard limit: a start after it is never offered among the others,
 * only as a named relaxation. No relaxation turns a visit in person into a
 * video visit.
 */
import {
  type Demand,
  RELAXATIONS,
  type Relaxation,
  type RelaxationKind,
  type SearchAnswer,
  type Start,
} from './demand.ts'
import type { Interval } from './interval.ts'
import { compile, nextStart, type Query, servingTerms, type Terms } from './query.ts'
import { choose, type Draft, draft, finish, inDayPart, type Places } from './start.ts'
import type { PreparedSupply } from './supply.ts'
import { DAY_MS, toInstant, toWall } from './zone-clock.ts'

type Found = { terms: Terms; start: number; isInDayPart: boolean }

/** Bookable starts, best first, or the relaxation that would give the earliest. */
export function findStarts(supply: PreparedSupply, demand: Demand): SearchAnswer {
  const query = compile(supply, demand)
  const starts = ranked(query)
  return { starts, relaxation: starts.length > 0 ? null : earliestRelaxation(query) }
}

/** Bookable starts, best first, and nothing where there are none. */
export function rankedStarts(supply: PreparedSupply, demand: Demand): Start[] {
  return ranked(compile(supply, demand))
}

/** The condition whose release alone gives the earliest start in the range of the supply. */
export function earliestRelease(supply: PreparedSupply, demand: Demand): Relaxation | null {
  return earliestRelaxation(compile(supply, demand))
}

/**
 * Order: the wished clinician, then the nearest site, then the earlier day of
 * the patient's, then the wished part of the day, then the earlier start. Days
 * are read outward from the first, so a full list stops the search.
 */
function ranked(query: Query): Start[] {
  const { demand } = query
  const drafts: Draft[] = []
  for (const group of groups(query, servingTerms(query))) {
    const cursors = group.map((terms): Cursor => ({ terms, next: 0 }))
    for (const day of daysOf(query)) {
      const ofDay = startsIn(query, cursors, day.start, day.end)
      ofDay.sort(
        (a, b) =>
          Number(b.isInDayPart) - Number(a.isInDayPart) ||
          a.start - b.start ||
          compare(a.terms.session.id, b.terms.session.id),
      )
      const wanted = Math.min(demand.perDay ?? ofDay.length, demand.limit - drafts.length)
      drafts.push(...ofDay.slice(0, wanted).map((found) => draftAt(query, found)))
      if (drafts.length >= demand.limit) return finish(query, drafts)
    }
  }
  return finish(query, drafts)
}

/** Sessions in order of preference: all starts of one group rank before any of the next. */
function groups({ demand }: Query, serving: readonly Terms[]): (readonly Terms[])[] {
  const wish = demand.clinician
  const isWished = ({ session }: Terms) => session.owner.id === wish?.clinicianId
  const byClinician = wish ? [serving.filter(isWished), serving.filter((each) => !isWished(each))] : [serving]
  if (demand.mode === 'video' || demand.siteIds.length === 0) return byClinician
  const sites = [...new Set(demand.siteIds)]
  return byClinician.flatMap((group) => sites.map((siteId) => group.filter(({ session }) => session.siteId === siteId)))
}

/** The patient's days that touch the query, in order. */
function* daysOf({ clock, from, to }: Query): Generator<{ start: number; end: number }> {
  if (from >= to) return
  for (let day = Math.floor(toWall(clock, from) / DAY_MS); ; day += 1) {
    const start = toInstant(clock, day * DAY_MS)
    if (start >= to) return
    yield { start, end: toInstant(clock, (day + 1) * DAY_MS) }
  }
}

/** A session and how far it has been read: openings before `next` are over. */
type Cursor = { terms: Terms; next: number }

function startsIn(query: Query, cursors: readonly Cursor[], from: number, to: number): Found[] {
  const found: Found[] = []
  for (const cursor of cursors) {
    const { terms } = cursor
    const { openings } = terms
    while ((openings[cursor.next]?.end ?? Number.POSITIVE_INFINITY) <= from) cursor.next += 1
    for (let i = cursor.next; i < openings.length; i += 1) {
      const opening = openings[i] as Interval
      if (opening.start >= to) break
      let start = nextStart(query, terms, opening, from)
      while (start < to) {
        found.push({ terms, start, isInDayPart: inDayPart(query, start) })
        start = nextStart(query, terms, opening, start + 1)
      }
    }
  }
  return found
}

function compare(a: string, b: string): number {
  return a < b ? -1 : Number(a > b)
}

function draftAt(query: Query, { terms, start }: Found): Draft {
  return draft(query, terms, start, choose(query, terms, start) as Places)
}

/** What each relaxation changes; null where the demand has nothing of the kind to release. */
function relaxed(demand: Demand, kind: RelaxationKind): Demand | null {
  switch (kind) {
    case 'say_where_patient_is':
      return demand.mode === 'video' && demand.placeState === null ? demand : null
    case 'another_clinician':
      return demand.clinician?.only ? { ...demand, clinician: { ...demand.clinician, only: false } } : null
    case 'another_day_part':
      return demand.dayPart?.only ? { ...demand, dayPart: { ...demand.dayPart, only: false } } : null
    case 'another_site':
      return demand.mode === 'in_person' && demand.siteIds.length > 0 ? { ...demand, siteIds: [] } : null
    case 'short_notice':
      return demand.anyNotice ? null : { ...demand, anyNotice: true }
    case 'urgent_starts':
      return demand.keptBy === null ? null : { ...demand, keptBy: null }
    case 'other_helper_times':
      return demand.helper && demand.helperWindows.length > 0 ? { ...demand, helperWindows: [] } : null
    case 'other_patient_times':
      return demand.patientWindows.length > 0 ? { ...demand, patientWindows: [] } : null
    case 'without_interpreter':
      return demand.interpreterLanguage === null ? null : { ...demand, interpreterLanguage: null }
    case 'in_person':
      return demand.mode === 'video' ? { ...demand, mode: 'in_person', helper: null } : null
    case 'longer_horizon':
      return { ...demand, horizonDays: Number.POSITIVE_INFINITY }
    case 'after_see_by':
      return demand.seeBy === null ? null : { ...demand, seeBy: null }
  }
}

function earliestRelaxation(asked: Query): Relaxation | null {
  let best: Released | null = null
  for (const query of releases(asked)) {
    const found: Draft | null = earliest(query, best?.draft.start ?? Number.POSITIVE_INFINITY)
    if (found) best = { ...query, draft: found }
  }
  return best && written(asked, best)
}

/**
 * Every condition whose release alone gives a start, each with its earliest one: what could be done about a search that
 * found nothing in time. Only a start by `after_see_by` lies after the see-by time.
 */
export function helpfulReleases(supply: PreparedSupply, demand: Demand): Relaxation[] {
  const asked = compile(supply, demand)
  return releases(asked).flatMap((query) => {
    const found = earliest(query, Number.POSITIVE_INFINITY)
    return found ? [written(asked, { ...query, draft: found })] : []
  })
}

type Release = Query & { kind: RelaxationKind }
type Released = Release & { draft: Draft }

/** The query again for each condition that may be set aside, without it. */
function releases(asked: Query): Release[] {
  const { supply, demand } = asked
  return RELAXATIONS.flatMap((kind) => {
    const changed = demand.releasable.includes(kind) ? relaxed(demand, kind) : null
    if (!changed) return []
    const query = compile(supply, changed, kind === 'say_where_patient_is')
    return kind === 'longer_horizon' && query.to === asked.to ? [] : [{ ...query, kind }]
  })
}

/** Why it ranks there is said against what was asked, so that a breach shows. */
function written(asked: Query, { kind, draft, ...query }: Released): Relaxation {
  const [start] = finish({ ...query, demand: asked.demand, freeUntil: asked.freeUntil }, [draft])
  return { kind, start: start as Start }
}

/** The earliest start before `before`, whatever its rank; null when there is none. */
function earliest(query: Query, before: number): Draft | null {
  let best: Found | null = null
  let limit = Math.min(before, query.to)
  for (const terms of servingTerms(query)) {
    for (const opening of terms.openings) {
      if (opening.start >= limit) break
      const start = opening.end > query.from ? nextStart(query, terms, opening, query.from) : Number.POSITIVE_INFINITY
      if (start >= limit) continue
      best = { terms, start, isInDayPart: inDayPart(query, start) }
      limit = start
      break
    }
  }
  return best && draftAt(query, best)
}
