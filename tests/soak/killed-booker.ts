/** Books every start, some at a time, always with the same keys; its parent kills it whenever it likes. */
import { type DatabaseSettings, openDatabase } from '#db/client.ts'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { openQueue } from '#lib/jobs/queue.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'
import { contextFor } from '#tests/support/clinic.ts'

const LANES = 4

const [settings = '{}', given = '[]', life = '0'] = process.argv.slice(2)
const starts = JSON.parse(given) as (Omit<AskedStart, 'startsAt'> & { startsAt: string })[]
const database = await openDatabase(JSON.parse(settings) as DatabaseSettings)
const queue = await openQueue(database, { works: false })
process.stdout.write('ready\n')

let next = 0
await Promise.all(
  Array.from({ length: LANES }, async () => {
    for (let n = next++; n < starts.length; n = next++) {
      const asked = starts[n] as (typeof starts)[number]
      const start: AskedStart = { ...asked, startsAt: Temporal.Instant.from(asked.startsAt) }
      const ctx = { ...contextFor(database.db, { ids: `_life${life}_${n}` }), queue: queue.port }
      const result = await bookVisit(ctx, { key: `killed ${n}`, referralId: `ref_${n}`, heldVisitId: null, start })
      invariant(
        result.ok,
        'every start is wanted by one referral alone, so sending it again books it or finds it booked',
      )
      process.stdout.write('booked\n')
    }
  }),
)
await queue.close()
await database.close()
process.exit(0)
