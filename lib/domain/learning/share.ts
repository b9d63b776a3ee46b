/**
 * How sure is a share that was counted? A share of few says little, so each carries its counts and Wilson's score interval,
 * which stays within 0 and 1 and holds what it promises for small numbers, where p ± z·√(pq/n) does not (Wilson EB, J Am
 * Stat Assoc 1927;22:209-12; recommended by Newcombe RG, Stat Med 1998;17:857-72, and NIST/SEMATECH e-Handbook 7.2.4.1).
 * Without continuity correction: the corrected interval covers at least 95 %, this one 95 % on average, and is narrower.
 */
import { invariant } from '#lib/base/invariant.ts'

/** The normal quantile that leaves 2.5 % above it. */
const Z_95 = 1.959963984540054

export type Share = {
  count: number
  of: number
  /** 0 to 1; null = there was nothing to count, and so nothing is known. */
  share: number | null
  /** The 95 % interval, 0 to 1. Of nothing it is everything. */
  low: number
  high: number
}

/** The share with its 95 % interval. */
export function shareOf(count: number, of: number): Share {
  invariant(
    Number.isInteger(count) && Number.isInteger(of) && count >= 0 && count <= of,
    'a part of a whole is counted',
  )
  if (of === 0) return { count, of, share: null, low: 0, high: 1 }
  const p = count / of
  const zz = Z_95 ** 2
  const middle = p + zz / (2 * of)
  const reach = Z_95 * Math.sqrt((p * (1 - p)) / of + zz / (4 * of * of))
  const scale = 1 + zz / of
  // At the ends the formula is exact, the arithmetic is not.
  return {
    count,
    of,
    share: p,
    low: count === 0 ? 0 : (middle - reach) / scale,
    high: count === of ? 1 : (middle + reach) / scale,
  }
}
