/** An empty database to measure on: a PostgreSQL server of its own where there is one, else the embedded database. */
import { type Database, openDatabase } from '#db/client.ts'
import { startPostgres } from '../support/postgres-server.ts'

export async function openSomewhere(): Promise<{ database: Database; stop: () => Promise<void> }> {
  const server = await startPostgres().catch(() => null)
  if (!server) return { database: await openDatabase({ databaseUrl: null, dataDir: null }), stop: async () => {} }
  const admin = await openDatabase({ databaseUrl: server.urlOf('postgres'), dataDir: null })
  await admin.db.execute('create database bench')
  await admin.close()
  const database = await openDatabase({ databaseUrl: server.urlOf('bench'), dataDir: null })
  return { database, stop: server.stop }
}
