/**
 * A calendar program reads a clinician's feed. It has no cookie and no sign-in: the address is the secret. An unknown, an
 * ended and a foreign address look the same. Readers come back by the minute for years, so it takes few queries, and a
 * reader that has the newest already is told so.
 */
import { z } from 'zod'
import { findLiveFeed, type LiveFeed, listFeedVisits, rememberContent } from '#db/queries/feeds.ts'
import { countAndCheck } from '#db/queries/rate.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Temporal } from '#lib/base/time.ts'
import { FEED_DAYS_BACK, type FeedPort, feedEvent } from '#lib/domain/feed/clinician-feed.ts'
import type { Ctx } from './context.ts'

export const readFeedInput = z.object({
  slug: z.string().max(40),
  token: z.string().max(200),
  /** Where the request came from, as far as the server in front of us says. */
  from: z.string().max(100).nullable(),
})
export type ReadFeedInput = z.output<typeof readFeedInput>

/** `contentHash` names this very content; it has been that since `changedAt` (ISO). */
export type FeedRead = { content: string; contentHash: string; changedAt: string }
export type ReadFeedError = { code: 'feed_unknown' } | { code: 'too_often'; retryAfterSec: number }

const WINDOW_SEC = 15 * 60
/** Several devices of one person, each every few minutes. */
const PER_FEED = 60
/** Wrong addresses by one caller. Nobody guesses 256 bits; this keeps the guessing cheap for us. */
const WRONG_PER_CALLER = 30

export async function readFeed(
  ctx: Pick<Ctx, 'db' | 'now' | 'secrets'>,
  port: FeedPort,
  { slug, token, from }: ReadFeedInput,
): Promise<Result<FeedRead, ReadFeedError>> {
  const now = ctx.now()
  const feed = await findLiveFeed(ctx.db, slug, ctx.secrets.hashToken(token))
  const bucket = feed ? `feed:${feed.id}` : `feed-wrong:${ctx.secrets.hashText(from ?? '')}`
  const limit = feed ? PER_FEED : WRONG_PER_CALLER
  // Of callers nobody tells us about, the wrong ones would all share one counter.
  const isCounted = feed !== null || from !== null
  const rate = { clinicId: feed?.clinicId ?? '-', bucket, windowSec: WINDOW_SEC, limit, now }
  if (isCounted && !(await countAndCheck(ctx.db, rate))) return err({ code: 'too_often', retryAfterSec: WINDOW_SEC })
  if (!feed) return err({ code: 'feed_unknown' })

  const visits = await listFeedVisits(ctx.db, feed.clinicId, feed.clinicianId, rangeOf(feed, now))
  const content = port.render({
    clinicName: feed.clinicName,
    clinicianName: feed.clinicianName,
    timeZone: feed.timeZone,
    events: visits.map((visit) => feedEvent(visit, feed.policy.feeds)),
  })
  const contentHash = ctx.secrets.hashText(content)
  const isSame = feed.contentHash === contentHash && feed.contentChangedAt !== null
  if (!isSame) await rememberContent(ctx.db, feed, { contentHash, contentChangedAt: now })
  const changedAt = isSame && feed.contentChangedAt ? feed.contentChangedAt : now
  return ok({ content, contentHash, changedAt: changedAt.toString() })
}

/** Whole days of the clinic's, so that a calendar doesn't change by the minute; ahead as far as anybody can book. */
function rangeOf({ clinicTimeZone, policy }: LiveFeed, now: Temporal.Instant) {
  const today = now.toZonedDateTimeISO(clinicTimeZone).startOfDay()
  return {
    from: today.subtract({ days: FEED_DAYS_BACK }).toInstant(),
    to: today.add({ days: 2 * policy.booking.horizonDays + 1 }).toInstant(),
  }
}
