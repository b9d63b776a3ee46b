/**
 * One of several processes that want the same starts. It opens the database, says that it is ready, waits for the word,
 * and books for each of its referrals at once; whoever loses takes the next best it is offered. It prints what happened.
 */
import { once as onceEvent } from 'node:events'
import { openDatabase } from '#db/client.ts'
import { Temporal } from '#lib/base/time.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'
import { contextFor } from '#tests/support/clinic.ts'
import { asking } from '#tests/support/starts.ts'

export type Race = { referralId: string; tries: { startsAt: string; outcome: string }[] }

const [url = '', way = 'book', startsAt = '', ...referralIds] = process.argv.slice(2)
const database = await openDatabase({ databaseUrl: url, dataDir: null })
await database.db.execute('select 1')
process.stdout.write('ready\n')
await onceEvent(process.stdin, 'data')

const races = await Promise.all(referralIds.map((referralId) => race(referralId)))
process.stdout.write(`${JSON.stringify(races)}\n`)
await database.close()
process.exit(0)

async function race(referralId: string): Promise<Race> {
  const ctx = contextFor(database.db, { ids: `_${referralId}` })
  const tries: Race['tries'] = []
  let start: AskedStart = asking(startsAt)
  for (let n = 1; n <= 40; n += 1) {
    const key = `${referralId} try ${n}`
    const result =
      way === 'hold'
        ? await holdStart(ctx, { key, referralId, start })
        : await bookVisit(ctx, { key, referralId, heldVisitId: null, start })
    tries.push({ startsAt: start.startsAt.toString(), outcome: result.ok ? 'won' : result.error.code })
    if (result.ok || result.error.code !== 'start_taken') break
    const next = result.error.next[0]
    if (!next) break
    start = { ...start, ...next, startsAt: Temporal.Instant.from(next.startsAt) }
  }
  return { referralId, tries }
}
