import fc from 'fast-check'
import jstat from 'jstat'
import { describe, expect, test } from 'vitest'
import { shareOf } from '#lib/domain/learning/share.ts'

describe('a share and its interval', () => {
  // Newcombe RG. Two-sided confidence intervals for the single proportion. Stat Med 1998;17:857-72, table I, method 3
  // (score method without continuity correction), four decimals as printed. Values from memory, recomputed below by a
  // second way.
  test.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])('%i of %i lies where Newcombe’s table says', (count, of, low, high) => {
    const interval = shareOf(count, of)
    expect(interval.low).toBeCloseTo(low, 4)
    expect(interval.high).toBeCloseTo(high, 4)
  })

  // Claveau J et al. Can Fam Physician 2020;66:349-55: 2,700 visits missed of 34,619 scheduled, 7.8 %.
  test('the share of missed visits is missed of scheduled', () => {
    const { share, low, high } = shareOf(2700, 34_619)
    expect(((share ?? 0) * 100).toFixed(1)).toBe('7.8')
    expect(low).toBeLessThan(0.078)
    expect(high).toBeGreaterThan(0.078)
  })

  // Wilson's interval is what the score test does not reject: at either end the distance to the share, in standard errors
  // of that end, is the normal quantile. jStat (a statistics library) gives the quantile.
  test('at both ends the score test is exactly at the edge of 5 %', () => {
    const z: number = jstat.normal.inv(0.975, 0, 1)
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 5000 }), fc.double({ min: 0, max: 1, noNaN: true }), (of, part) => {
        const count = Math.round(part * of)
        const { share, low, high } = shareOf(count, of)
        const distance = (end: number) => Math.abs((share ?? 0) - end) / Math.sqrt((end * (1 - end)) / of)
        if (count > 0) expect(distance(low)).toBeCloseTo(z, 5)
        if (count < of) expect(distance(high)).toBeCloseTo(z, 5)
      }),
    )
  })

  // The whole promise of the interval, worked out with jStat's binomial probabilities instead of drawn by chance.
  test.each([10, 21, 40])('of %i it holds the true share 95 times in 100, on average over all shares', (of) => {
    const grid = Array.from({ length: 199 }, (_, n) => (n + 1) / 200)
    const coverage = grid.map((truth) => {
      const held = Array.from({ length: of + 1 }, (_, count) => count).filter((count) => {
        const { low, high } = shareOf(count, of)
        return low <= truth && truth <= high
      })
      return held.reduce((sum, count) => sum + (jstat.binomial.pdf(count, of, truth) as number), 0)
    })
    expect(jstat.mean(coverage)).toBeGreaterThan(0.945)
    expect(jstat.mean(coverage)).toBeLessThan(0.965)
  })

  test('it holds the share, stays within 0 and 1, and mirrors', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 2000 }), fc.integer({ min: 0, max: 2000 }), (of, more) => {
        const count = Math.min(more, of)
        const { share, low, high } = shareOf(count, of)
        const mirror = shareOf(of - count, of)
        expect(low).toBeGreaterThanOrEqual(0)
        expect(high).toBeLessThanOrEqual(1)
        expect(low).toBeLessThanOrEqual(share ?? 0)
        expect(high).toBeGreaterThanOrEqual(share ?? 0)
        expect(mirror.low).toBeCloseTo(1 - high, 10)
      }),
    )
  })

  test('of nothing nothing is known', () => {
    expect(shareOf(0, 0)).toEqual({ count: 0, of: 0, share: null, low: 0, high: 1 })
  })

  test('more than all is a fault', () => {
    expect(() => shareOf(3, 2)).toThrow()
  })
})
