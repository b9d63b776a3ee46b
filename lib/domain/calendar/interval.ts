/**
 * Which stretches of time are free, taken or shared? Half-open stretches
 * [start, end) of epoch milliseconds, so that visits back to back fit. A
 * timeline is a sorted list in which no two stretches touch; every function
 * here returns one, which keeps each question a single walk or binary search.
 */

/** A stretch of time from `start` up to, not including, `end` (epoch milliseconds). */
export type Interval = { start: number; end: number }

/** Sorted by start, none empty, none touching another. Made by `merge`, kept by the rest. */
export type Timeline = readonly Interval[]

/** All of time. */
export const ALWAYS: Timeline = [{ start: Number.NEGATIVE_INFINITY, end: Number.POSITIVE_INFINITY }]

/** The time covered by any of the intervals, in any order. */
export function merge(intervals: Iterable<Interval>): Timeline {
  const sorted = [...intervals].filter(({ start, end }) => start < end).sort((a, b) => a.start - b.start)
  const merged: Interval[] = []
  for (const { start, end } of sorted) {
    const last = merged.at(-1)
    if (last && start <= last.end) last.end = Math.max(last.end, end)
    else merged.push({ start, end })
  }
  return merged
}

/** The time in both. */
export function intersect(a: Timeline, b: Timeline): Timeline {
  const shared: Interval[] = []
  let i = 0
  let j = 0
  for (;;) {
    const x = a[i]
    const y = b[j]
    if (!x || !y) return shared
    const start = Math.max(x.start, y.start)
    const end = Math.min(x.end, y.end)
    if (start < end) shared.push({ start, end })
    if (x.end <= y.end) i += 1
    else j += 1
  }
}

/** The time in `a` that is not in `b`. */
export function subtract(a: Timeline, b: Timeline): Timeline {
  return intersect(a, complement(b))
}

/** All time outside. */
export function complement(a: Timeline): Timeline {
  const outside: Interval[] = []
  let start = Number.NEGATIVE_INFINITY
  for (const stretch of a) {
    if (start < stretch.start) outside.push({ start, end: stretch.start })
    start = stretch.end
  }
  if (start < Number.POSITIVE_INFINITY) outside.push({ start, end: Number.POSITIVE_INFINITY })
  return outside
}

/** The earliest x ≥ from for which [x, x + length) lies wholly inside one stretch; Infinity when there is none. */
export function firstFit(free: Timeline, from: number, length: number): number {
  for (let i = firstEndingAfter(free, from); i < free.length; i += 1) {
    const stretch = free[i] as Interval
    const x = Math.max(from, stretch.start)
    if (x + length <= stretch.end) return x
  }
  return Number.POSITIVE_INFINITY
}

function firstEndingAfter(line: Timeline, t: number): number {
  let low = 0
  let high = line.length
  while (low < high) {
    const middle = (low + high) >>> 1
    if ((line[middle] as Interval).end > t) high = middle
    else low = middle + 1
  }
  return low
}
