/**
 * Brings a database to the present schema. Migrations are checked in under `db/migrations` and run in order, once each,
 * on both back ends.
 */
import { join } from 'node:path'
import type { Database } from './client.ts'

/** Runs the migrations that this database has not seen. Every entry of the program starts in the project's folder. */
export async function migrate(database: Database): Promise<void> {
  await database.runMigrations(join(/* turbopackIgnore: true */ process.cwd(), 'db', 'migrations'))
}
