/** Counters that hold across processes: each try is one upsert, so no two processes count the same one. */
import { and, eq, sql } from 'drizzle-orm'
import { Temporal } from '#lib/base/time.ts'
import type { Db } from '../client.ts'
import { rateCounters } from '../schema/index.ts'

export type Rate = {
  /** '-' where no clinic is known yet. */
  clinicId: string
  /** What is counted, such as `sign-in:<hash>`. Never an address or a name in clear. */
  bucket: string
  windowSec: number
}

/** Counts one try and says whether it is still within the limit. Call it outside a transaction that may roll back. */
export async function countAndCheck(
  db: Db,
  { limit, now, ...rate }: Rate & { limit: number; now: Temporal.Instant },
): Promise<boolean> {
  const { clinicId, bucket } = rate
  const [row] = await db
    .insert(rateCounters)
    .values({ clinicId, bucket, windowStartsAt: windowStart(now, rate.windowSec), count: 1 })
    .onConflictDoUpdate({
      target: [rateCounters.clinicId, rateCounters.bucket, rateCounters.windowStartsAt],
      set: { count: sql`${rateCounters.count} + 1` },
    })
    .returning({ count: rateCounters.count })
  return row !== undefined && row.count <= limit
}

/** Takes back a try that was a rightful one, so that only failures add up. */
export async function giveBack(db: Db, { now, ...rate }: Rate & { now: Temporal.Instant }): Promise<void> {
  await db
    .update(rateCounters)
    .set({ count: sql`greatest(${rateCounters.count} - 1, 0)` })
    .where(
      and(
        eq(rateCounters.clinicId, rate.clinicId),
        eq(rateCounters.bucket, rate.bucket),
        eq(rateCounters.windowStartsAt, windowStart(now, rate.windowSec)),
      ),
    )
}

function windowStart(now: Temporal.Instant, windowSec: number): Temporal.Instant {
  const windowMs = windowSec * 1000
  return Temporal.Instant.fromEpochMilliseconds(Math.floor(now.epochMilliseconds / windowMs) * windowMs)
}
