/** Opens the database of the settings, migrates it, and puts the demo clinic into it when it is empty. */
import { openDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { isEmptyInstallation } from '#db/queries/installation.ts'
import type { Settings } from '#lib/adapters/settings.ts'
import { Temporal } from '#lib/base/time.ts'
import { seedDemo } from '#seed/seed-demo.ts'

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
