/** What a board says, in words only: with the reader's own address they are all that is needed to draw it. */
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { MISSABLE } from '#lib/domain/readiness/board-view.ts'
import { ITEM_WORDS, type ReadinessItem } from '#lib/domain/readiness/items.ts'
import type { Board, ShownVisit } from '#lib/usecases/read-board.ts'
import { clockWords, dayWords, zoneWords } from '#lib/words/time-words.ts'
import { type RowWords, rowWords } from './row-words.ts'

export type BoardWords = Pick<Board, 'counts' | 'matching' | 'page' | 'pages' | 'clinicians'> & {
  /** yyyy-mm-dd */
  day: string
  dayName: string
  zone: string
  readAt: string
  /** Days one may go to; `day` is null for today, `visits` for a day that is not counted. */
  days: { day: string | null; name: string; visits: number | null; isShown: boolean }[]
  dayBefore: string
  dayAfter: string
  missable: { item: ReadinessItem; name: string }[]
  groups: GroupWords[]
}
/** `clinician` is null where all stand together. */
export type GroupWords = { clinician: Board['clinicians'][number] | null; rows: RowWords[] }

export function boardWords(board: Board, isByClinician: boolean): BoardWords {
  const { counts, matching, page, pages, clinicians, day, today, timeZone } = board
  const noon = noonOf(day, timeZone)
  const shown = Temporal.PlainDate.from(day)
  const [before, after] = [shown.subtract({ days: 1 }), shown.add({ days: 1 })]
  const named = (to: string) =>
    to === today ? { day: null, name: 'Today' } : { day: to, name: shortDay(to, timeZone) }
  const isAhead = board.days.some((ahead) => ahead.day === day)
  return {
    counts,
    matching,
    page,
    pages,
    clinicians,
    day,
    dayName: dayWords(noon, timeZone),
    zone: zoneWords(noon, timeZone),
    readAt: clockWords(Temporal.Instant.from(board.now), timeZone),
    days: [
      ...(isAhead ? [] : [{ ...named(day), visits: null, isShown: true }]),
      ...board.days.map((ahead) => ({ ...named(ahead.day), visits: ahead.visits, isShown: ahead.day === day })),
    ],
    dayBefore: before.toString(),
    dayAfter: after.toString(),
    missable: MISSABLE.map((item) => ({ item, name: ITEM_WORDS[item] })),
    groups: groupsOf(board, isByClinician),
  }
}

function groupsOf({ visits, clinicians, timeZone, ...board }: Board, isByClinician: boolean): GroupWords[] {
  const now = Temporal.Instant.from(board.now)
  const rows = (ofGroup: ShownVisit[]) => ofGroup.map((visit) => rowWords(visit, timeZone, now))
  if (!isByClinician) return visits.length === 0 ? [] : [{ clinician: null, rows: rows(visits) }]
  const byId = new Map(clinicians.map((clinician) => [clinician.id, clinician]))
  return [...Map.groupBy(visits, ({ clinicianId }) => clinicianId)].map(([id, ofClinician]) => {
    const clinician = byId.get(id)
    invariant(clinician, 'whoever has a visit on the day is among its clinicians')
    return { clinician, rows: rows(ofClinician) }
  })
}

function noonOf(day: string, timeZone: string): Temporal.Instant {
  return Temporal.PlainDate.from(day).toZonedDateTime({ timeZone, plainTime: '12:00' }).toInstant()
}

/** "Mon, Dec 1" */
function shortDay(day: string, timeZone: string): string {
  const [weekday = '', date = ''] = dayWords(noonOf(day, timeZone), timeZone).split(', ')
  const [month = '', number = ''] = date.split(' ')
  return `${weekday.slice(0, 3)}, ${month.slice(0, 3)} ${number}`
}
