/**
 * The tables of the learning pages, as data: shares with their intervals, days with their quartiles, or figures over time.
 * Page, plot and file are all made from the same table, so none of them can say something else.
 */
import type { Share } from './share.ts'

/** Days between two things, of those for whom both have happened. */
export type DaysSpread = {
  /** For whom both have happened. */
  of: number
  /** For whom the second has not happened yet: the spread does not know of them. */
  pending: number
  /** Tenths of a day; null of nobody. Linear between the nearest ranks (Hyndman and Fan 1996, definition 7). */
  quarter: number | null
  median: number | null
  threeQuarters: number | null
  nineTenths: number | null
}

type Common = {
  /** Names the file. */
  id: string
  caption: string
  /** The head of each column that names a line. */
  by: readonly string[]
  /** What has to be known to read it rightly. */
  note?: string
}

export type ShareTable = Common & {
  kind: 'share'
  /** What is counted ("missed") and of what ("visits due"). */
  counted: string
  whole: string
  /** Heads of further counts. */
  also: readonly string[]
  lines: readonly { names: readonly string[]; share: Share; also: readonly number[] }[]
}

export type DaysTable = Common & {
  kind: 'days'
  lines: readonly { names: readonly string[]; spread: DaysSpread }[]
}

export type TrendTable = Common & {
  kind: 'trend'
  unit: string
  series: readonly string[]
  /** `on`: the first day of its week, yyyy-mm-dd. A value is null where there is none. */
  lines: readonly { on: string; values: readonly (number | null)[] }[]
}

export type LearningTable = ShareTable | DaysTable | TrendTable

/** The table as rows of a file: everything that the page shows, in plain numbers. */
export function rowsOf(table: LearningTable, smallBelow: number): (string | number)[][] {
  switch (table.kind) {
    case 'share':
      return [
        [...table.by, table.counted, table.whole, 'share', 'low_95', 'high_95', ...table.also, 'few'],
        ...table.lines.map(({ names, share, also }) => [
          ...names,
          share.count,
          share.of,
          share.share === null ? '' : round(share.share),
          round(share.low),
          round(share.high),
          ...also,
          share.of < smallBelow ? 'yes' : 'no',
        ]),
      ]
    case 'days':
      return [
        [
          ...table.by,
          'referrals',
          'still_open',
          'days_quarter',
          'days_median',
          'days_three_quarters',
          'days_nine_tenths',
          'few',
        ],
        ...table.lines.map(({ names, spread: { of, pending, quarter, median, threeQuarters, nineTenths } }) => [
          ...names,
          of,
          pending,
          ...[quarter, median, threeQuarters, nineTenths].map((days) => days ?? ''),
          of < smallBelow ? 'yes' : 'no',
        ]),
      ]
    case 'trend':
      return [
        ['week_from', ...table.series.map((name) => `${name} (${table.unit})`)],
        ...table.lines.map(({ on, values }) => [on, ...values.map((value) => value ?? '')]),
      ]
  }
}

/** Whether there is anything to show. */
export function isEmpty(table: LearningTable): boolean {
  switch (table.kind) {
    case 'share':
      return table.lines.every(({ share }) => share.of === 0)
    case 'days':
      return table.lines.every(({ spread }) => spread.of + spread.pending === 0)
    case 'trend':
      return table.lines.length === 0
  }
}

/** Four decimals: the interval of thousands is told apart, and nothing is promised beyond. */
function round(share: number): number {
  return Math.round(share * 10_000) / 10_000
}
