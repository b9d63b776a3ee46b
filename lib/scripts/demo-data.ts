/** Opens the database of the settings, migrates it, and puts the demo clinic into it when it is empty. */
import { existsSync, mkdirSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { openDatabase, removeEmbedded } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { isEmptyInstallation } from '#db/queries/installation.ts'
import type { Settings } from '#lib/adapters/settings.ts'
import { Temporal } from '#lib/base/time.ts'
import { seedDemo } from '#seed/seed-demo.ts'

/**
 * As `prepareDemoData`, once for a folder: its stamp saves a second start from opening the database twice. A start that
 * was stopped half way is told by the other stamp, and begins anew: nobody can have used a demo that never ran.
 */
export async function prepareDemoFolder(settings: Settings): Promise<void> {
  const { dataDir, databaseUrl } = settings
  const whole = join(dataDir, 'demo-is-there')
  const half = join(dataDir, 'demo-is-half-there')
  if (existsSync(whole)) return
  const wasStopped = existsSync(half)
  if (wasStopped && databaseUrl === null) removeEmbedded(dataDir)
  console.log(`Putting the demo clinic into ${dataDir} …`)
  mkdirSync(dataDir, { recursive: true })
  writeFileSync(half, '')
  const isNew = await prepareDemoData(settings)
  if (wasStopped && !isNew)
    throw new Error(
      'The last start stopped while it put the demo clinic into this database. Empty it, and start again.',
    )
  writeFileSync(whole, '')
  rmSync(half)
}

/** Returns whether the clinic was put there just now. */
export async function prepareDemoData(settings: Settings): Promise<boolean> {
  const database = await openDatabase(settings)
  try {
    await migrate(database)
    const isEmpty = await isEmptyInstallation(database.db)
    if (isEmpty) await seedDemo(database, Temporal.Now.instant())
    return isEmpty
  } finally {
    await database.close()
  }
}
