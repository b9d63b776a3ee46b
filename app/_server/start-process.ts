/**
 * What a server process does before it answers: open the database, migrate it, refuse what must not go online, start the
 * worker, and arrange to leave nothing half done when it is told to stop.
 */
import { FolderInUse, openDatabase, shareDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { hasDemoSignIns } from '#db/queries/installation.ts'
import { deliveryPorts } from '#lib/adapters/delivery-ports.ts'
import { explainFaults, settings } from '#lib/adapters/settings.ts'
import { keepErrorsOutOfConsole, logEvent, logFailure } from '#lib/base/log.ts'
import { openQueue } from '#lib/jobs/queue.ts'
import { startWorker } from '#lib/jobs/worker.ts'
import { listenForBoardChanges, shareBoardChanges } from './board-changes.ts'
import { shareQueue } from './shared-queue.ts'

const STOP_WITHIN_MS = 10_000

/** Ends the process with a reason when it cannot start; a server that lived on would only answer with errors. */
export async function startProcess(): Promise<void> {
  try {
    keepErrorsOutOfConsole()
    await start()
  } catch (error) {
    if (error instanceof FolderInUse) console.error(error.message)
    else logFailure('start_failed', error)
    process.exit(1)
  }
}

async function start(): Promise<void> {
  const known = settings()
  const { isDemo, isProduction } = known
  const worksHere = known.worker === 'in_process'
  const database = await openDatabase(known)
  await migrate(database)
  if (isProduction && !isDemo && (await hasDemoSignIns(database.db))) {
    const problem = "is not 1, but this database still lets the demo's published sign-ins in"
    const mend = 'Use a database of your own, or deactivate those sign-ins.'
    console.error(explainFaults([{ variable: 'DEMO', problem, mend }]))
    process.exit(1)
  }
  const queue = await openQueue(database, { works: worksHere })
  const ports = deliveryPorts(known)
  const stopWorker = worksHere ? await startWorker(database, queue, ports) : async () => {}
  const boardChanges = await listenForBoardChanges(database)
  shareDatabase(database)
  shareBoardChanges(boardChanges)
  shareQueue(queue.port)
  logEvent('started', { database: database.kind, worker: known.worker })

  const stop = async (signal: string) => {
    logEvent('stopping', { signal })
    // Whatever cannot be ended in time is undone by the database or done again by the queue.
    setTimeout(() => process.exit(1), STOP_WITHIN_MS).unref()
    // Open streams would otherwise keep the server waiting for their browsers.
    await boardChanges.close()
    await stopWorker()
    await queue.close()
    ports.mail.close()
    await database.close()
    process.exit(0)
  }
  process.once('SIGTERM', stop)
  process.once('SIGINT', stop)
}
