/**
 * How does a measured value stand beside what is published? It is laid beside every source and judged by none: where
 * sources differ that is said, and no value clears anything.
 */
import type { Measure, MeasureUnit, Reference } from '../protocol/schema.ts'

export type Position = 'within' | 'below' | 'above'
export type Compared = Reference & { position: Position }

/** The value beside each published range, in the protocol's order. */
export function compare(measure: Pick<Measure, 'references'>, value: number): Compared[] {
  return measure.references.map((reference) => ({ ...reference, position: positionOf(reference, value) }))
}

function positionOf({ from, to }: Reference, value: number): Position {
  if (from !== undefined && value < from) return 'below'
  return to !== undefined && value > to ? 'above' : 'within'
}

/** For whom the sources give different ranges. */
export function disputed(measure: Pick<Measure, 'references'>): string[] {
  const ranges = Map.groupBy(measure.references, ({ who }) => who)
  return [...ranges].flatMap(([who, list]) =>
    new Set(list.map(({ from, to }) => `${from} ${to}`)).size > 1 ? [who] : [],
  )
}

const UNIT_WORDS: Readonly<Record<MeasureUnit, string>> = { deg: '°', s: ' s', count: '', cm: ' cm' }

/** "12°", "2.4 s", "24" */
export function valueWords(value: number, unit: MeasureUnit): string {
  return `${value}${UNIT_WORDS[unit]}`
}

/** "0 to 20°", "up to 2.9 s", "24 or more" */
export function rangeWords({ from, to }: Pick<Reference, 'from' | 'to'>, unit: MeasureUnit): string {
  if (from === undefined) return `up to ${valueWords(to ?? 0, unit)}`
  return to === undefined ? `${valueWords(from, unit)} or more` : `${from} to ${valueWords(to, unit)}`
}
