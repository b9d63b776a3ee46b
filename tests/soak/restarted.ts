/**
 * The database is restarted while people book. Requests that meet it must fail soon and clearly, none may hang, and what is
 * sent again afterwards, with the same key and by the same open process, must succeed, once.
 */
import { count } from 'drizzle-orm'
import { openDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { visits } from '#db/schema/index.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'
import { addBigClinic } from '#tests/support/big-clinic.ts'
import { contextFor } from '#tests/support/clinic.ts'
import { startPostgres } from '#tests/support/postgres-server.ts'

export type RestartedSize = { bookings: number; lanes: number; restarts: number; downMs: number }
export type RestartedFigures = {
  booked: number
  /** Requests that the restarts made fail, and the longest that any request took to be answered. */
  failed: number
  refused: number
  slowestMs: number
}

export async function restarted({ bookings, lanes, restarts, downMs }: RestartedSize): Promise<RestartedFigures> {
  const server = await startPostgres()
  const database = await openDatabase({ databaseUrl: server.urlOf('postgres'), dataDir: null })
  try {
    await migrate(database)
    const starts = await addBigClinic(database.db, bookings, 40)
    const figures: RestartedFigures = { booked: 0, failed: 0, refused: 0, slowestMs: 0 }
    const isDone = new Set<number>()
    let tries = 0

    const bookOne = async (n: number): Promise<void> => {
      tries += 1
      const ctx = contextFor(database.db, { ids: `_try${tries}` })
      const start = starts[n] as AskedStart
      const before = performance.now()
      const result = await bookVisit(ctx, { key: `restarted ${n}`, referralId: `ref_${n}`, heldVisitId: null, start })
        // The page shows its sentence for a fault; here it is enough that the request ends.
        .catch(() => null)
      figures.slowestMs = Math.max(figures.slowestMs, performance.now() - before)
      if (result === null) figures.failed += 1
      else if (!result.ok) figures.refused += 1
      else isDone.add(n)
      // Whoever was shown the fault does not send again at once.
      if (result === null) await new Promise((resolve) => setTimeout(resolve, 50))
    }
    const load = Promise.all(
      Array.from({ length: lanes }, async (_, lane) => {
        for (let n = lane; n < bookings; n += lanes) while (!isDone.has(n) && figures.refused === 0) await bookOne(n)
      }),
    )
    for (let restart = 1; restart <= restarts; restart += 1) {
      const isDue = () => isDone.size >= (bookings * restart) / (restarts + 1) || figures.refused > 0
      while (!isDue()) await new Promise((resolve) => setTimeout(resolve, 5))
      await server.restart(downMs)
    }
    await load
    const [row] = await database.db.select({ booked: count() }).from(visits)
    return { ...figures, booked: row?.booked ?? -1 }
  } finally {
    await database.close()
    await server.stop()
  }
}
