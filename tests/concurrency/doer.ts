/**
 * One of several processes that do the same deed in the same moment. It opens the database, says that it is ready, waits
 * for the word, does it, and prints what came of it.
 */
import { once as onceEvent } from 'node:events'
import { openDatabase } from '#db/client.ts'
import { Temporal } from '#lib/base/time.ts'
import { answerOffer } from '#lib/usecases/answer-offer.ts'
import { expireOffer } from '#lib/usecases/expire-offer.ts'
import { offerFreedTime } from '#lib/usecases/offer-freed-time.ts'
import { replaceVisits, replaceVisitsInput } from '#lib/usecases/replace-visits.ts'
import { CLINIC, contextFor } from '#tests/support/clinic.ts'

export type Deed =
  | { kind: 'accept'; offerId: string }
  | { kind: 'expire'; offerId: string; now: string }
  | { kind: 'offer'; clinicianId: string; from: string; to: string }
  | { kind: 'replace'; input: unknown }
export type Came = { ok: boolean; code: string | null; value: unknown }

const [url = '', name = '', deedText = '{}'] = process.argv.slice(2)
const deed = JSON.parse(deedText) as Deed
const database = await openDatabase({ databaseUrl: url, dataDir: null })
await database.db.execute('select 1')
process.stdout.write('ready\n')
await onceEvent(process.stdin, 'data')
const result = await doIt()
const came: Came = result.ok
  ? { ok: true, code: null, value: result.value }
  : { ok: false, code: result.error.code, value: null }
process.stdout.write(`${JSON.stringify(came)}\n`)
await database.close()
process.exit(0)

async function doIt() {
  const system = { kind: 'system', clinicId: CLINIC, id: 'system' } as const
  const ctx = contextFor(database.db, { ids: `_${deed.kind}_${name}` })
  const job = contextFor(database.db, { actor: system, ids: `_${deed.kind}_${name}` })
  switch (deed.kind) {
    case 'accept':
      return answerOffer(ctx, { key: `accept by ${name}`, offerId: deed.offerId, answer: 'accept' })
    case 'expire':
      return expireOffer(contextFor(database.db, { actor: system, now: deed.now, ids: `_${deed.kind}_${name}` }), deed)
    case 'offer': {
      const [from, to] = [Temporal.Instant.from(deed.from), Temporal.Instant.from(deed.to)]
      return offerFreedTime(job, { clinicianId: deed.clinicianId, from, to })
    }
    case 'replace':
      return replaceVisits(ctx, replaceVisitsInput.parse({ ...(deed.input as object), key: `approved by ${name}` }))
  }
}
