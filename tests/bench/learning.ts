/**
 * How long does the server take to count what a learning page shows, at a clinic with years of visits that are over? The page
 * of stations has the most to count, and is held against the same figures got the plainest way. PostgreSQL, nothing drawn.
 */
import { isDeepStrictEqual } from 'node:util'
import { sql } from 'drizzle-orm'
import { type Db, rawRows } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { countTries } from '#db/queries/learning.ts'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { TOPICS } from '#lib/domain/learning/topics.ts'
import type { TryCount } from '#lib/domain/learning/tries.ts'
import { keepFigures } from '#lib/usecases/keep-figures.ts'
import { readLearning } from '#lib/usecases/read-learning.ts'
import { readLearningOverview } from '#lib/usecases/read-learning-overview.ts'
import { CLINIC, contextFor } from '../support/clinic.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'
import { addYears, NOW } from './learning-years.ts'
import { openSomewhere } from './open-somewhere.ts'
import { figures, percentile } from './timing.ts'

/** In the clinic's own days, both part of it; the longest that a page shows. */
const PERIODS = [
  { name: 'half-year', from: '2025-09-01', to: '2026-03-01' },
  { name: 'two-years', from: '2024-03-02', to: '2026-03-01' },
] as const

/** Times whole readings, one at a time, each page in turn. */
export async function rows(options: BenchOptions = {}): Promise<BenchRow[]> {
  const { visits = 200_000, years = 4, requests = 5 } = options
  const { database, stop } = await openSomewhere()
  const { db } = database
  const ctx = contextFor(db, { now: NOW })
  try {
    await migrate(database)
    await addYears(db, visits, years)
    const began = performance.now()
    await keepFigures(contextFor(db, { now: NOW, actor: { kind: 'system', clinicId: CLINIC, id: 'system' } }))
    const keptIn = performance.now() - began
    await db.execute('vacuum analyze')
    const found: BenchRow[] = []
    for (const { name, from, to } of PERIODS) {
      const asked = { from, to, clinician: null, condition: null }
      const pages = [
        ...TOPICS.map((topic) => ({ page: topic, read: () => readLearning(ctx, { ...asked, topic }) })),
        // It shows the usual half-year, whatever is asked elsewhere.
        ...(name === 'half-year' ? [{ page: 'overview' as const, read: () => readLearningOverview(ctx) }] : []),
      ].map((each) => ({ ...each, took: [] as number[] }))
      // The first round only warms up.
      for (let n = -1; n < requests; n += 1)
        for (const { read, took } of pages) {
          const ms = await timeOf(read)
          if (n >= 0) took.push(ms)
        }

      const scope = { from: startOf(from), to: startOf(Temporal.PlainDate.from(to).add({ days: 1 }).toString()) }
      let plain: TryCount[] = []
      const rival = await timeOf(async () => {
        plain = await countPlainly(db, scope)
      })
      const everybody = { clinicId: CLINIC, timeZone: ZONE, clinicianId: null, conditionId: null }
      const ours = await countTries(db, { ...everybody, ...scope })
      invariant(isDeepStrictEqual(ours, plain), 'both count the same')
      const tries = ours.reduce((sum, each) => sum + each.n, 0)
      const stations = pages.find(({ page }) => page === 'stations')?.took ?? []
      const others = pages.filter(({ page }) => page !== 'stations')
      const size = `${database.kind}, ${visits} visits in ${years} years`
      found.push({
        id: `learning-${name}`,
        ...figures(stations),
        ratio: rival / percentile(stations, 0.5),
        rival: `each visit's own plan looked into, ${rival.toFixed(0)} ms`,
        note: `rival ÷ ours; the page of stations, ${tries} tries counted, both the same; its days were counted before, all ${years} years in ${(keptIn / 1000).toFixed(0)} s; ${size}`,
      })
      found.push({
        id: `learning-${name}-others`,
        ...figures(others.flatMap(({ took }) => took)),
        note: `the other pages, one at a time: ${others
          .map(({ page, took }) => `${page} ${percentile(took, 0.5).toFixed(0)} ms`)
          .join(', ')}; ${size}`,
      })
    }
    return found
  } finally {
    await database.close()
    await stop()
  }
}

const ZONE = 'America/New_York'

function startOf(date: string): Temporal.Instant {
  return Temporal.PlainDate.from(date).toZonedDateTime(ZONE).toInstant()
}

async function timeOf(run: () => Promise<unknown>): Promise<number> {
  const before = performance.now()
  await run()
  return performance.now() - before
}

/** As one would ask for it first: what was tried, of signed visits, where the visit's plan has that station in that way. */
function countPlainly(db: Db, { from, to }: { from: Temporal.Instant; to: Temporal.Instant }): Promise<TryCount[]> {
  return db.transaction(async (tx) => {
    await tx.execute('set local statement_timeout = 0')
    return rawRows<TryCount>(
      tx,
      sql`select r.protocol_id as "protocolId", r.protocol_version as "protocolVersion", o.station_id as "stationId",
          o.way_id as "wayId", o.result, o.reason, count(*)::int as n
        from visits v
        join visit_records rec on rec.clinic_id = v.clinic_id and rec.visit_id = v.id
        join referrals r on r.clinic_id = v.clinic_id and r.id = v.referral_id
        join station_outcomes o on o.clinic_id = v.clinic_id and o.visit_id = v.id
        where v.clinic_id = ${CLINIC} and v.starts_at >= ${from.toString()}::timestamptz
          and v.starts_at < ${to.toString()}::timestamptz and v.status = 'done' and rec.signed_at is not null
          and exists (select from jsonb_array_elements(v.plan->'steps') step
            where step->>'stationId' = o.station_id and step->>'wayId' = o.way_id)
        group by 1, 2, 3, 4, 5, 6 order by 3, 4, 2, 5, 6`,
    )
  })
}
