/**
 * The worker as a process of its own (`npm run worker`): for installations on a PostgreSQL server that set
 * WORKER=separate. Any number may run. On SIGTERM it finishes the mails in hand and leaves.
 */
import { openDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { deliveryPorts } from '#lib/adapters/delivery-ports.ts'
import { explainFaults, settings } from '#lib/adapters/settings.ts'
import { keepErrorsOutOfConsole, logEvent } from '#lib/base/log.ts'
import { openQueue } from './queue.ts'
import { startWorker } from './worker.ts'

/** Runs until the process is told to stop. */
export async function runWorker(): Promise<void> {
  keepErrorsOutOfConsole()
  const known = settings()
  if (known.databaseUrl === null) {
    const problem = 'is not set, and the embedded database belongs to the app, which sends its mail itself'
    const mend = 'Give the address of a PostgreSQL server, or run the app alone.'
    console.error(explainFaults([{ variable: 'DATABASE_URL', problem, mend }]))
    process.exit(1)
  }
  const database = await openDatabase(known)
  await migrate(database)
  const queue = await openQueue(database, { works: true })
  const ports = deliveryPorts(known)
  const stopWorker = await startWorker(database, queue, ports)
  logEvent('worker_started')

  const { promise: told, resolve: tell } = Promise.withResolvers<string>()
  process.once('SIGTERM', tell)
  process.once('SIGINT', tell)
  logEvent('worker_stopping', { signal: await told })
  await stopWorker()
  await queue.close()
  ports.mail.close()
  await database.close()
}
