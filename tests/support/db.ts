/**
 * The database of a test: PGlite in one project, a PostgreSQL server in the other, same tests. Each worker has one of its
 * own, copied from a migrated original, and empties it between tests.
 */
import { openAsBlob } from 'node:fs'
import { sql } from 'drizzle-orm'
import { inject } from 'vitest'
import { type Database, openDatabase, rawRows } from '#db/client.ts'

declare module 'vitest' {
  interface ProvidedContext {
    postgres: { adminUrl: string; template: string }
    pglite: { snapshot: string }
  }
}

const workerWide = globalThis as { farstepTestDb?: Promise<Database> }

/** The worker's database, migrated, with whatever the last test left in it. Not to be closed. */
export function openTestDb(): Promise<Database> {
  workerWide.farstepTestDb ??= process.env.TEST_BACK_END === 'postgres' ? copyOfServer() : copyOfEmbedded()
  return workerWide.farstepTestDb
}

/** The worker's database with every table empty: `const { db } = await emptyDb()`. */
export async function emptyDb(): Promise<Database> {
  const database = await openTestDb()
  await resetDb(database)
  return database
}

/** Empties every table, also those that refuse it to the program, and the queue. */
export async function resetDb({ db }: Database): Promise<void> {
  await db.transaction(async (tx) => {
    const tables = await rawRows<{ name: string }>(
      tx,
      sql`select format('%I.%I', schemaname, tablename) as name from pg_tables
          where schemaname = 'public' or (schemaname = 'pgboss' and tablename = 'job')`,
    )
    if (tables.length === 0) return
    await tx.execute(`set local session_replication_role = replica`)
    await tx.execute(`truncate ${tables.map(({ name }) => name).join(', ')} cascade`)
  })
}

/** A new database that no migration has seen. To be closed by whoever asked for it. */
export async function unmigratedDb(): Promise<Database> {
  if (process.env.TEST_BACK_END !== 'postgres') return openDatabase({ databaseUrl: null, dataDir: null })
  return openDatabase({ databaseUrl: await newServerDb('unmigrated', 'template1'), dataDir: null })
}

async function copyOfServer(): Promise<Database> {
  return openDatabase({ databaseUrl: await newServerDb('test'), dataDir: null })
}

/** The address of a new, migrated database on the server of the tests, for those that speak to it from several processes. */
export async function newServerDb(purpose: string, template = inject('postgres').template): Promise<string> {
  const { adminUrl } = inject('postgres')
  const name = `farstep_${purpose}_${process.pid}`
  const admin = await openDatabase({ databaseUrl: adminUrl, dataDir: null })
  await admin.db.execute(`create database ${name} template ${template}`)
  await admin.close()
  return adminUrl.replace(/[^/]+$/, name)
}

async function copyOfEmbedded(): Promise<Database> {
  const snapshot = await openAsBlob(inject('pglite').snapshot)
  return openDatabase({ databaseUrl: null, dataDir: null, snapshot })
}
