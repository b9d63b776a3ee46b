/** One of the crowd: a referral for each try, a start drawn for each, two of three booked at once and the third held. */
import { once as onceEvent } from 'node:events'
import { openDatabase } from '#db/client.ts'
import { Temporal } from '#lib/base/time.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'
import { randomFrom } from '#tests/domain/plan/random-plans.ts'
import { contextFor } from '#tests/support/clinic.ts'
import type { CrowdAnswer } from './crowd.ts'

const [url = '', from = '0', tries = '0', starts = '[]'] = process.argv.slice(2)
const offered = (JSON.parse(starts) as (Omit<AskedStart, 'startsAt'> & { startsAt: string })[]).map(
  (start): AskedStart => ({ ...start, startsAt: Temporal.Instant.from(start.startsAt) }),
)
const first = Number(from)
const random = randomFrom(first + 1)
const { db, close } = await openDatabase({ databaseUrl: url, dataDir: null, connections: 3 })
await db.execute('select 1')
process.stdout.write('ready\n')
await onceEvent(process.stdin, 'data')

const answer: CrowdAnswer = { won: 0, lost: 0, untold: 0, offered: 0 }
for (let n = first; n < first + Number(tries); n += 1) {
  const start = offered[Math.floor(random() * offered.length)] as AskedStart
  const ctx = contextFor(db, { ids: `_crowd_${n}` })
  const asked = { key: `crowd ${n}`, referralId: `ref_${n}`, start }
  const result = await (n % 3 === 0 ? holdStart(ctx, asked) : bookVisit(ctx, { ...asked, heldVisitId: null }))
  if (result.ok) answer.won += 1
  else {
    answer.lost += 1
    const isTold = result.error.code === 'start_taken'
    answer.untold += Number(!isTold)
    answer.offered += Number(result.error.code === 'start_taken' && result.error.next.length > 0)
  }
}
process.stdout.write(`${JSON.stringify(answer)}\n`)
await close()
process.exit(0)
