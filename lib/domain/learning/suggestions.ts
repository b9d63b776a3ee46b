/**
 * Which way of doing a station promises more than homes keep? Only ways that screening said were possible are counted, so
 * each should be done nearly always. One is named when even the upper end of its interval lies below what the clinic
 * expects: chance alone seldom does that. It is named to the clinic's lead and changes nothing by itself.
 */
import type { ClinicPolicy } from '../policy/clinic-policy.ts'
import { type Share, shareOf } from './share.ts'

export type WayCount = {
  protocolId: string
  protocolVersion: number
  stationId: string
  wayId: string
  /** Done, with or without difficulty. */
  done: number
  of: number
}

/** What the lead said of a way, and what was counted then. */
export type WayReview = WayCount & { by: string; at: string; because: string }

export type Suggestion = WayCount & { share: Share; reviewed: WayReview | null }

type Policy = ClinicPolicy['learning']

/** The ways to look at, the weakest first. A review rests a way until as many tries again have been counted. */
export function suggestReviews(
  counts: readonly WayCount[],
  reviews: readonly WayReview[],
  policy: Policy,
): Suggestion[] {
  return counts
    .map((count) => ({ ...count, share: shareOf(count.done, count.of), reviewed: latestReview(count, reviews) }))
    .filter(({ of, share }) => of >= policy.suggestFrom && share.high < policy.expectedDone)
    .sort((a, b) => (a.share.share ?? 0) - (b.share.share ?? 0) || b.of - a.of)
}

/** Whether the lead has still to look at it. */
export function isOpen({ of, reviewed }: Suggestion): boolean {
  return reviewed === null || of >= 2 * reviewed.of
}

function latestReview(way: WayCount, reviews: readonly WayReview[]): WayReview | null {
  const own = reviews.filter(
    (review) =>
      review.protocolId === way.protocolId &&
      review.protocolVersion === way.protocolVersion &&
      review.stationId === way.stationId &&
      review.wayId === way.wayId,
  )
  return own.reduce<WayReview | null>((latest, each) => (latest === null || each.at > latest.at ? each : latest), null)
}
