import fc from 'fast-check'
import { expect, test } from 'vitest'
import {
  ALWAYS,
  complement,
  firstFit,
  type Interval,
  intersect,
  merge,
  subtract,
} from '#lib/domain/calendar/interval.ts'

// The model is a row of bits: slow, and too plain to be wrong.
const SIZE = 40
const seed = 5545
const intervals = fc
  .array(fc.tuple(fc.nat({ max: SIZE }), fc.nat({ max: SIZE })), { maxLength: 8 })
  .map((pairs) => pairs.map(([start, end]): Interval => ({ start, end })))

function bits(list: readonly Interval[]): boolean[] {
  return Array.from({ length: SIZE }, (_, at) => list.some(({ start, end }) => start <= at && at < end))
}

test('merging keeps exactly the covered time, sorted, in stretches that do not touch', () => {
  fc.assert(
    fc.property(intervals, (list) => {
      const merged = merge(list)
      expect(bits(merged)).toEqual(bits(list))
      merged.forEach((stretch, i) => {
        expect(stretch.start).toBeLessThan(stretch.end)
        if (i > 0) expect(stretch.start).toBeGreaterThan(merged[i - 1]!.end)
      })
    }),
    { seed },
  )
})

test('shared time is the time in both, the difference is the time in the first alone', () => {
  fc.assert(
    fc.property(intervals, intervals, (x, y) => {
      const a = merge(x)
      const b = merge(y)
      expect(bits(intersect(a, b))).toEqual(bits(a).map((bit, i) => bit && bits(b)[i]))
      expect(bits(subtract(a, b))).toEqual(bits(a).map((bit, i) => bit && !bits(b)[i]))
    }),
    { seed },
  )
})

test('the complement of the complement is the timeline itself', () => {
  fc.assert(
    fc.property(intervals, (list) => {
      const line = merge(list)
      expect(complement(complement(line))).toEqual(line)
    }),
    { seed },
  )
  expect(complement([])).toEqual(ALWAYS)
  expect(complement(ALWAYS)).toEqual([])
})

test('the first fit is the earliest place where every minute is free', () => {
  fc.assert(
    fc.property(intervals, fc.nat({ max: SIZE }), fc.nat({ max: 9 }), (list, from, length) => {
      const line = merge(list)
      const free = bits(line)
      const room = (x: number) =>
        free.slice(x, x + Math.max(length, 1)).every(Boolean) && x + Math.max(length, 1) <= SIZE
      let expected = Number.POSITIVE_INFINITY
      for (let x = SIZE; x >= from; x -= 1) if (room(x)) expected = x
      expect(firstFit(line, from, length)).toBe(expected)
    }),
    { seed },
  )
})

test('visits back to back fit: the end of one is free for the next', () => {
  const free = complement(
    merge([
      { start: 0, end: 10 },
      { start: 20, end: 30 },
    ]),
  )
  expect(firstFit(free, 5, 10)).toBe(10)
  expect(firstFit(free, 5, 11)).toBe(30)
})
