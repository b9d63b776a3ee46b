/** A measured length: a thin line with a stroke across each end, and its words beside it. */
import { type Shape, WORDS_LINE } from './drawing.ts'

const TICK = 5
const GAP = 8

/** Across, with the words under the line: under its middle, or from where it begins, where it may be too short for them. */
export function widthOf(
  from: number,
  to: number,
  y: number,
  words: string,
  align: 'middle' | 'left' = 'middle',
): Shape[] {
  return [
    { hand: 'measure', path: `M${from} ${y}H${to}M${from} ${y - TICK}v${2 * TICK}M${to} ${y - TICK}v${2 * TICK}` },
    { words: [words], at: [align === 'left' ? from : (from + to) / 2, y + 21], align },
  ]
}

/** Upright, with the words in two lines on its outer side, so that they stay clear of what is measured. */
export function heightOf(x: number, from: number, to: number, side: 'left' | 'right', words: string): Shape[] {
  // Never under the floor, however low the height.
  const up = Math.min((from + to) / 2, from - WORDS_LINE - TICK)
  return [
    { hand: 'measure', path: `M${x} ${from}V${to}M${x - TICK} ${from}h${2 * TICK}M${x - TICK} ${to}h${2 * TICK}` },
    side === 'left'
      ? { words: words.split(/ (?=\()/), at: [x - GAP, up], align: 'right' }
      : { words: words.split(/ (?=\()/), at: [x + GAP, up], align: 'left' },
  ]
}
