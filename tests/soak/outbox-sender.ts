/**
 * A worker in a process of its own. After so many mails it stays for ever between the mail server's yes and the database's
 * commit, and says so: there its parent kills it. Without a number it sends what there is and leaves.
 */
import { sql } from 'drizzle-orm'
import { type DatabaseSettings, openDatabase, rawRows } from '#db/client.ts'
import { deliveryPorts } from '#lib/adapters/delivery-ports.ts'
import { Temporal } from '#lib/base/time.ts'
import type { MailPort } from '#lib/domain/messages/mail.ts'
import { openQueue } from '#lib/jobs/queue.ts'
import { startWorker } from '#lib/jobs/worker.ts'
import { NOW } from '#tests/support/clinic.ts'
import { RETRY_AT_ONCE } from './outbox.ts'

const [settings = '{}', smtpUrl = '', holdAt = ''] = process.argv.slice(2)
const database = await openDatabase(JSON.parse(settings) as DatabaseSettings)
const queue = await openQueue(database, { works: true, retries: RETRY_AT_ONCE })
const ports = deliveryPorts({
  smtpUrl,
  dataDir: '/nowhere',
  mailFrom: 'visits@example.org',
  baseUrl: 'https://v.example.org',
})

let taken = 0
const mail: MailPort = {
  async send(outgoing) {
    const answer = await ports.mail.send(outgoing)
    taken += 1
    if (taken !== Number(holdAt)) return answer
    process.stdout.write('taken\n')
    return new Promise(() => {})
  },
}
const stopWorker = await startWorker(database, queue, { ...ports, mail, now: () => Temporal.Instant.from(NOW) })

for (;;) {
  const [row] = await rawRows<{ n: number }>(
    database.db,
    sql`select count(*)::int as n from messages where status = 'queued'`,
  )
  if (row?.n === 0) break
  await new Promise((resolve) => setTimeout(resolve, 50))
}
await stopWorker()
await queue.close()
ports.mail.close()
await database.close()
process.exit(0)
