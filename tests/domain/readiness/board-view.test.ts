/** What a filter leaves, how it is ordered and where it is cut: held against saying it outright, for any day. */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import {
  type BoardLine,
  type BoardQuery,
  boardPage,
  isOpen,
  PAGE_SIZE,
  SHOWN,
  SHOWS,
  SORTS,
} from '#lib/domain/readiness/board-view.ts'
import { ITEM_STATES, type ItemReadiness } from '#lib/domain/readiness/items.ts'
import { worstOf } from '#lib/domain/readiness/readiness.ts'

const ALL: BoardQuery = { show: null, clinicianId: null, mode: null, missing: null, sort: 'clinician', page: 1 }

const item = fc.record({
  item: fc.constantFrom('home_check' as const, 'helper' as const, 'consent' as const),
  state: fc.constantFrom(...ITEM_STATES),
  actor: fc.constant('patient' as const),
  since: fc.constant(null),
  saidBy: fc.constant(null),
}) satisfies fc.Arbitrary<ItemReadiness>

const day = fc
  .array(
    fc.record({
      clinician: fc.integer({ min: 0, max: 4 }),
      minute: fc.integer({ min: 0, max: 600 }),
      mode: fc.constantFrom('video' as const, 'in_person' as const),
      items: fc.uniqueArray(item, { selector: (each) => each.item, minLength: 1 }),
    }),
    { maxLength: 130 },
  )
  .map((visits) =>
    visits.map(
      ({ clinician, minute, mode, items }, n): BoardLine => ({
        visitId: `vis_${n}`,
        startsAt: Temporal.Instant.fromEpochMilliseconds(Date.UTC(2026, 2, 3, 8, minute)),
        clinicianId: `cli_${clinician}`,
        clinicianName: `Dr ${'EDCBA'[clinician]}`,
        mode,
        items,
        worst: worstOf(items),
      }),
    ),
  )
const query = fc.record({
  show: fc.constantFrom(null, ...SHOWS),
  clinicianId: fc.constantFrom(null, 'cli_0', 'cli_3'),
  mode: fc.constantFrom(null, 'video' as const),
  missing: fc.constantFrom(null, 'helper' as const),
  sort: fc.constantFrom(...SORTS),
  page: fc.integer({ min: 1, max: 9 }),
}) satisfies fc.Arbitrary<BoardQuery>

function allPages(lines: readonly BoardLine[], asked: BoardQuery): BoardLine[] {
  const { pages } = boardPage(lines, asked)
  return Array.from({ length: pages }, (_, n) => boardPage(lines, { ...asked, page: n + 1 })).flatMap(
    (page) => page.lines,
  )
}

describe('a page of the board', () => {
  test('all pages together hold each visit that fits exactly once', () => {
    fc.assert(
      fc.property(day, query, (lines, asked) => {
        const fits = lines.filter(
          ({ worst, clinicianId, mode, items }) =>
            (asked.show === null || (SHOWN[asked.show] as readonly string[]).includes(worst)) &&
            (asked.clinicianId === null || asked.clinicianId === clinicianId) &&
            (asked.mode === null || asked.mode === mode) &&
            (asked.missing === null || items.some((each) => each.item === asked.missing && isOpen(each.state))),
        )
        const shown = allPages(lines, asked).map(({ visitId }) => visitId)
        expect(shown.toSorted()).toEqual(fits.map(({ visitId }) => visitId).toSorted())
        expect(boardPage(lines, asked).matching).toBe(fits.length)
      }),
    )
  })

  test('every visit counts under exactly one figure of the sentence, whatever figure is chosen', () => {
    fc.assert(
      fc.property(day, query, (lines, asked) => {
        const { counts } = boardPage(lines, asked)
        expect(SHOWS.reduce((sum, show) => sum + counts[show], 0)).toBe(counts.all)
        for (const show of SHOWS) expect(boardPage(lines, { ...asked, show }).matching).toBe(counts[show])
      }),
    )
  })

  test('the order is the same however the rows came', () => {
    fc.assert(
      fc.property(day, query, (lines, asked) => {
        expect(allPages(lines.toReversed(), asked)).toEqual(allPages(lines, asked))
      }),
    )
  })

  test('within a clinician time runs forward; least ready first never puts a readier visit before', () => {
    fc.assert(
      fc.property(day, (lines) => {
        const byClinician = allPages(lines, ALL)
        for (const [n, line] of byClinician.entries()) {
          const before = byClinician[n - 1]
          if (before?.clinicianId === line.clinicianId)
            expect(Temporal.Instant.compare(before.startsAt, line.startsAt)).toBeLessThanOrEqual(0)
          else if (before) expect(before.clinicianName < line.clinicianName).toBe(true)
        }
        const ranks = allPages(lines, { ...ALL, sort: 'state' }).map(({ worst }) =>
          ['cannot', 'late', 'waiting', 'done', 'not_needed'].indexOf(worst),
        )
        expect(ranks).toEqual(ranks.toSorted((a, b) => a - b))
      }),
    )
  })

  test('a page past the last is the last, and a day without visits has one empty page', () => {
    fc.assert(
      fc.property(day, (lines) => {
        const far = boardPage(lines, { ...ALL, page: 99 })
        expect(far.page).toBe(Math.max(1, Math.ceil(lines.length / PAGE_SIZE)))
        expect(far.lines.length > 0).toBe(lines.length > 0)
      }),
    )
    expect(boardPage([], ALL)).toMatchObject({ matching: 0, page: 1, pages: 1, lines: [] })
  })
})
