/**
 * How many visits a second can be booked through the use case, with everything that belongs to a booking (checks, audit
 * line, packet, messages, answer to a repeat), beside bare inserts into the same constrained table by the same driver and
 * the same number of connections? On a PostgreSQL server where there is one, else on the embedded database.
 */
import type { Database } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { insertVisit } from '#db/queries/visits.ts'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'
import { addBigClinic } from '../support/big-clinic.ts'
import { CLINIC, contextFor, NOW } from '../support/clinic.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'
import { openSomewhere } from './open-somewhere.ts'

/** Books `bookings` visits over `clinicians` clinicians, `lanes` at a time. */
export async function rows(options: BenchOptions = {}): Promise<BenchRow[]> {
  const { bookings = 800, clinicians: people = 40, lanes = 10 } = options
  const { database, stop } = await openSomewhere()
  try {
    await migrate(database)
    const starts = await addBigClinic(database.db, bookings, people)
    const warm = Math.floor(bookings / 8)
    const took: number[] = []

    const bookOne = async (n: number) => {
      const ctx = contextFor(database.db, { ids: `_bench_${n}` })
      const before = performance.now()
      const start = starts[n] as AskedStart
      const result = await bookVisit(ctx, { key: `bench ${n}`, referralId: `ref_${n}`, heldVisitId: null, start })
      invariant(result.ok, 'every booking of the bench is its own start')
      took.push(performance.now() - before)
    }
    await inLanes(0, warm, lanes, bookOne)
    // A clinic at work has statistics: without them every plan is made for empty tables, and kept.
    await database.db.execute('analyze')
    took.length = 0
    const ours = await inLanes(warm, bookings, lanes, bookOne)

    // The same rows again, on an empty table, by the same query and nothing else.
    await database.db.transaction(async (tx) => {
      await tx.execute('set local session_replication_role = replica')
      await tx.execute('truncate visits cascade')
    })
    const bareOne = (n: number) => insertBare(database, starts[n] as AskedStart, n)
    await inLanes(0, warm, lanes, bareOne)
    await database.db.execute('analyze')
    const bare = await inLanes(warm, bookings, lanes, bareOne)

    const sorted = took.toSorted((a, b) => a - b)
    const at = (share: number) => sorted[Math.min(sorted.length - 1, Math.floor(sorted.length * share))] ?? 0
    return [
      {
        id: 'booking',
        perSecond: ours,
        p50Ms: at(0.5),
        p95Ms: at(0.95),
        p99Ms: at(0.99),
        ratio: ours / bare,
        rival: `bare inserts, ${Math.round(bare)}/s`,
        note: `ratio = ours ÷ bare; ${database.kind}, ${lanes} at a time, ${bookings} bookings, ${people} clinicians`,
      },
    ]
  } finally {
    await database.close()
    await stop()
  }
}

async function insertBare({ db }: Database, start: AskedStart, n: number): Promise<void> {
  const endsAt = start.startsAt.add({ minutes: 45 })
  await insertVisit(db, {
    clinicId: CLINIC,
    id: `vis_${n}`,
    referralId: `ref_${n}`,
    patientId: `pat_of_ref_${n}`,
    clinicianId: start.clinicianId,
    sessionId: start.sessionId,
    interpreterId: null,
    roomId: null,
    mode: 'video',
    startsAt: start.startsAt,
    endsAt,
    busyFrom: start.startsAt,
    busyTo: endsAt,
    plan: null,
    assessmentId: null,
    patientTimeZone: 'America/New_York',
    placeState: 'NY',
    released: [],
    releasedBecause: null,
    calendarUid: `cal_${n}`,
    status: 'booked',
    at: Temporal.Instant.from(NOW),
  })
}

/** Runs `one` for from..to, so many at a time; what it got through a second. */
async function inLanes(from: number, to: number, lanes: number, one: (n: number) => Promise<void>): Promise<number> {
  let next = from
  const before = performance.now()
  await Promise.all(
    Array.from({ length: lanes }, async () => {
      for (let n = next++; n < to; n = next++) await one(n)
    }),
  )
  return ((to - from) * 1000) / (performance.now() - before)
}
