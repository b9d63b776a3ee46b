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
import { compile, nextStart, type Query, type Terms } from './query.ts'
import { choose, type Draft, draft, finish, inDayPart, type Places } from './start.ts'
import type { Opening, PreparedSupply } from './supply.ts'
import { DAY_MS, toInstant, toWall } from './zone-clock.ts'

type Found = { terms: Terms; opening: Opening; start: number }

/** Bookable starts, best first, or the relaxation that would give the earliest. */
export function findStarts(supply: PreparedSupply, demand: Demand): SearchAnswer {
  const query = compile(supply, demand)
  const starts = ranked(query)
  return { starts, relaxation: starts.length > 0 ? null : earliestRelaxation(supply, demand) }
}

/**
 * Order: the wished clinician, then the nearest site, then the earlier day of
 * the patient's, then the wished part of the day, then the earlier start. Days
 * are read outward from the first, so a full list stops the search.
 */
function ranked(query: Query): Start[] {
  const { demand } = query
  const drafts: Draft[] = []
  for (const group of groups(query)) {
    for (const day of daysOf(query)) {
      const ofDay = startsIn(query, group, day.start, day.end)
      ofDay.sort(
        (a, b) =>
          Number(inDayPart(query, b.start)) - Number(inDayPart(query, a.start)) ||
          a.start - b.start ||
          compare(a.opening.session.id, b.opening.session.id),
      )
      const wanted = Math.min(demand.perDay ?? ofDay.length, demand.limit - drafts.length)
      drafts.push(...ofDay.slice(0, wanted).map((found) => draftAt(query, found)))
      if (drafts.length >= demand.limit) return finish(query, drafts)
    }
  }
  return finish(query, drafts)
}

type Group = { openings: readonly Opening[]; isIn: (opening: Opening) => boolean }

/** Openings in order of preference: all of one group rank before any of the next. */
function groups({ demand, supply }: Query): Group[] {
  const all: Group = { openings: supply.openings, isIn: () => true }
  const wish = demand.clinician
  const wished: Group = { openings: (wish && supply.openingsBy.get(wish.clinicianId)) ?? [], isIn: () => true }
  const others: Group = { ...all, isIn: ({ clinicianId }) => clinicianId !== wish?.clinicianId }
  const byClinician = wish ? [wished, ...(wish.only ? [] : [others])] : [all]
  if (demand.mode === 'video' || demand.siteIds.length === 0) return byClinician
  return byClinician.flatMap(({ openings, isIn }) =>
    demand.siteIds.map((siteId) => ({
      openings,
      isIn: (each: Opening) => each.session.siteId === siteId && isIn(each),
    })),
  )
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

function startsIn(query: Query, { openings, isIn }: Group, from: number, to: number): Found[] {
  const found: Found[] = []
  for (let i = firstStartingAfter(openings, from - query.supply.longestOpeningMs); i < openings.length; i += 1) {
    const opening = openings[i] as Opening
    if (opening.start >= to) break
    const terms = query.servingTermsOf(opening.session)
    if (!terms || !isIn(opening)) continue
    for (
      let start = nextStart(query, terms, opening, from);
      start < to;
      start = nextStart(query, terms, opening, start + 1)
    ) {
      found.push({ terms, opening, start })
    }
  }
  return found
}

function firstStartingAfter(openings: readonly Opening[], t: number): number {
  let low = 0
  let high = openings.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((openings[middle] as Opening).start > t) high = middle
    else low = middle + 1
  }
  return low
}

function compare(a: string, b: string): number {
  return a < b ? -1 : Number(a > b)
}

function draftAt(query: Query, { terms, opening, start }: Found): Draft {
  return draft(query, terms, opening, start, choose(query, terms, start) as Places)
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

function earliestRelaxation(supply: PreparedSupply, demand: Demand): Relaxation | null {
  let best: { kind: RelaxationKind; query: Query; draft: Draft } | null = null
  for (const kind of RELAXATIONS) {
    const changed = relaxed(demand, kind)
    if (!changed) continue
    const query = compile(supply, changed, kind === 'say_where_patient_is')
    const found = earliest(query, best?.draft.start ?? Number.POSITIVE_INFINITY)
    if (found) best = { kind, query, draft: found }
  }
  if (!best) return null
  // Why it ranks there is said against what was asked, so that a breach shows.
  const [start] = finish({ ...best.query, demand }, [best.draft])
  return { kind: best.kind, start: start as Start }
}

/** The earliest start before `before`, whatever its rank; null when there is none. */
function earliest(query: Query, before: number): Draft | null {
  const { demand, supply } = query
  const wish = demand.clinician
  const openings = wish?.only ? (supply.openingsBy.get(wish.clinicianId) ?? []) : supply.openings
  let best: Found | null = null
  let limit = Math.min(before, query.to)
  for (let i = firstStartingAfter(openings, query.from - supply.longestOpeningMs); i < openings.length; i += 1) {
    const opening = openings[i] as Opening
    if (opening.start >= limit) break
    const terms = query.servingTermsOf(opening.session)
    const start = terms ? nextStart(query, terms, opening, query.from) : Number.POSITIVE_INFINITY
    if (!terms || start >= limit) continue
    best = { terms, opening, start }
    limit = start
  }
  return best && draftAt(query, best)
}
