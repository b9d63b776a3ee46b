/**
 * Which visits of a day stand on the page, and in which order? A filter, a sort and a page, each with a default, so that
 * whatever stands in an address shows something true. What is counted is always the whole day of whoever is chosen.
 */
import { Temporal } from '#lib/base/time.ts'
import { type ItemState, READINESS_ITEMS, type ReadinessItem } from './items.ts'
import { WORST_FIRST } from './readiness.ts'

/** What a figure of the day's sentence filters by: how a visit stands. */
export const SHOWN = {
  ready: ['done', 'not_needed'],
  waiting: ['waiting'],
  late: ['late'],
  stuck: ['cannot'],
} as const satisfies Record<string, readonly ItemState[]>
export type Show = keyof typeof SHOWN
export const SHOWS = Object.keys(SHOWN) as Show[]

export const SORTS = ['clinician', 'time', 'state'] as const
export type Sort = (typeof SORTS)[number]

export const MODES = ['video', 'in_person'] as const

export type BoardQuery = {
  show: Show | null
  clinicianId: string | null
  mode: (typeof MODES)[number] | null
  /** Only visits in which this item is still open. */
  missing: ReadinessItem | null
  sort: Sort
  /** From 1. */
  page: number
}

/** So many rows can be read and sent in one go; a day of 500 visits is ten pages, or one clinician. */
export const PAGE_SIZE = 50

/** What a visit is chosen and ordered by. */
export type BoardLine = {
  visitId: string
  startsAt: Temporal.Instant
  clinicianId: string
  clinicianName: string
  mode: 'video' | 'in_person'
  items: readonly { item: ReadinessItem; state: ItemState }[]
  worst: ItemState
}

export type BoardPage<Line> = {
  /** Of the chosen clinician, mode and item: what the figures of the sentence count. */
  counts: { all: number } & Record<Show, number>
  /** How many the filter leaves, over all pages. */
  matching: number
  page: number
  pages: number
  lines: Line[]
}

/** Chooses, orders and cuts. A page past the last is the last. */
export function boardPage<Line extends BoardLine>(lines: readonly Line[], query: BoardQuery): BoardPage<Line> {
  const { show, clinicianId, mode, missing } = query
  const chosen = lines.filter(
    (line) =>
      (clinicianId === null || line.clinicianId === clinicianId) &&
      (mode === null || line.mode === mode) &&
      (missing === null || line.items.some(({ item, state }) => item === missing && isOpen(state))),
  )
  const count = (each: Show) => chosen.filter((line) => isShown(line, each)).length
  const matching = chosen.filter((line) => show === null || isShown(line, show)).toSorted(orderBy(query.sort))
  const pages = Math.max(1, Math.ceil(matching.length / PAGE_SIZE))
  const page = Math.min(query.page, pages)
  return {
    counts: {
      all: chosen.length,
      ready: count('ready'),
      waiting: count('waiting'),
      late: count('late'),
      stuck: count('stuck'),
    },
    matching: matching.length,
    page,
    pages,
    lines: matching.slice((page - 1) * PAGE_SIZE, page * PAGE_SIZE),
  }
}

/** Everything that somebody still has to act on. */
export function isOpen(state: ItemState): boolean {
  return state === 'waiting' || state === 'late' || state === 'cannot'
}

/** Items that can be open at all, in their fixed order: a rehearsal is offered, never required. */
export const MISSABLE = READINESS_ITEMS.filter((item) => item !== 'rehearsal')

function isShown({ worst }: BoardLine, show: Show): boolean {
  return (SHOWN[show] as readonly ItemState[]).includes(worst)
}

/** Every order ends in the start and the id, so that it is the same however the rows came. */
function orderBy(sort: Sort): (a: BoardLine, b: BoardLine) => number {
  const byTime = (a: BoardLine, b: BoardLine) =>
    Temporal.Instant.compare(a.startsAt, b.startsAt) || compare(a.visitId, b.visitId)
  switch (sort) {
    case 'time':
      return byTime
    case 'clinician':
      return (a, b) =>
        compare(a.clinicianName, b.clinicianName) || compare(a.clinicianId, b.clinicianId) || byTime(a, b)
    case 'state':
      return (a, b) => WORST_FIRST.indexOf(a.worst) - WORST_FIRST.indexOf(b.worst) || byTime(a, b)
  }
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
