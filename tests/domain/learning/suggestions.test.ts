import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { bandOf, bandWords, LEAD_EDGES } from '#lib/domain/learning/bands.ts'
import { periodOf } from '#lib/domain/learning/period.ts'
import { isOpen, suggestReviews, type WayCount, type WayReview } from '#lib/domain/learning/suggestions.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'

const policy = DEFAULT_POLICY.learning
const way = (wayId: string, done: number, of: number): WayCount => ({
  protocolId: 'foot_and_ankle',
  protocolVersion: 1,
  stationId: 'push_down',
  wayId,
  done,
  of,
})
const review = (count: WayCount, at: string): WayReview => ({ ...count, by: 'stf_lead', at, because: 'looked at' })

describe('ways to review', () => {
  test.each([
    ['9 of 21 is named: its interval ends at 0.64', 9, 21, true],
    ['13 of 21 is named: its interval ends at 0.79', 13, 21, true],
    ['14 of 21 reaches 0.83, which may be chance', 14, 21, false],
    ['0 of 9 was not tried often enough', 0, 9, false],
    ['0 of 10 was', 0, 10, true],
    ['all done', 50, 50, false],
  ])('%s', (_name, done, of, isNamed) => {
    expect(suggestReviews([way('strap', done, of)], [], policy)).toHaveLength(isNamed ? 1 : 0)
  })

  test('the weakest comes first', () => {
    const named = suggestReviews([way('a', 9, 21), way('b', 2, 20)], [], policy)
    expect(named.map(({ wayId }) => wayId)).toEqual(['b', 'a'])
  })

  test('a review rests a way until as many again were counted, and only in its own version of the protocol', () => {
    const seen = review(way('strap', 9, 21), '2026-03-01T00:00:00Z')
    const openAfter = (count: WayCount) => suggestReviews([count], [seen], policy).map(isOpen)
    expect(openAfter(way('strap', 9, 21))).toEqual([false])
    expect(openAfter(way('strap', 18, 41))).toEqual([false])
    expect(openAfter(way('strap', 18, 42))).toEqual([true])
    expect(openAfter({ ...way('strap', 9, 21), protocolVersion: 2 })).toEqual([true])
  })

  test('the latest review counts', () => {
    const older = review(way('strap', 3, 10), '2026-02-01T00:00:00Z')
    const newer = review(way('strap', 9, 21), '2026-03-01T00:00:00Z')
    const [named] = suggestReviews([way('strap', 9, 22)], [newer, older], policy)
    expect(named?.reviewed).toBe(newer)
  })
})

describe('bands of days', () => {
  test('every number of days lies in one band, and the bands rise', () => {
    const bands = Array.from({ length: 60 }, (_, days) => bandOf(days))
    expect(bands).toEqual(bands.toSorted((a, b) => a - b))
    expect(new Set(bands).size).toBe(LEAD_EDGES.length + 1)
    expect(bandOf(0.9)).toBe(0)
    expect(bandOf(28)).toBe(4)
  })

  test('their words leave no day out', () => {
    expect([0, 1, 2, 3, 4].map(bandWords)).toEqual([
      'less than 1 day',
      '1 to 6 days',
      '7 to 13 days',
      '14 to 27 days',
      '28 days or more',
    ])
  })
})

describe('the period', () => {
  const today = Temporal.PlainDate.from('2026-08-31')
  test('without a wish it is half a year up to yesterday', () => {
    expect(periodOf({ from: null, to: null }, today)).toEqual({
      period: { from: '2026-02-28', to: '2026-08-30' },
      fault: null,
    })
  })

  test.each([
    ['2026-02-30', null, 'not_a_date'],
    ['soon', null, 'not_a_date'],
    ['2026-08-02', '2026-08-01', 'ends_before_it_begins'],
    ['2020-01-01', null, 'too_long'],
    ['2026-08-01', '2026-08-01', null],
  ])('%s to %s: %s', (from, to, fault) => {
    expect(periodOf({ from, to }, today).fault).toBe(fault)
  })
})
