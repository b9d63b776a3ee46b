/**
 * One way to a database, whichever it is. With an address it is a PostgreSQL server; without, PGlite (PostgreSQL inside
 * this process) over a folder. Everything above sees one `Db` type and the same constraints.
 */
import { mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { DatabaseSync } from 'node:sqlite'
import { type SQL, sql } from 'drizzle-orm'
import type { PgDatabase, PgQueryResultHKT } from 'drizzle-orm/pg-core'
import type { ConstructorOptions as BossOptions } from 'pg-boss'
import type { Sql, TransactionSql } from 'postgres'

/** The common base of both drivers and of their transactions. Inside a transaction only `tx` may be queried. */
export type Db = PgDatabase<PgQueryResultHKT>

export type DatabaseSettings = {
  databaseUrl: string | null
  /** Absolute folder of the embedded database; null keeps it in memory. */
  dataDir: string | null
  /** A dump to start the embedded database from instead of an empty one. */
  snapshot?: Blob
}

export type Database = {
  db: Db
  kind: 'pglite' | 'postgres'
  /** What the queue runs on: `new PgBoss({ ...database.bossOptions })`. */
  bossOptions: BossOptions
  /** Calls `handler` with each payload notified on `channel`, until the returned function is called. */
  listen(channel: string, handler: (payload: string) => void): Promise<() => Promise<void>>
  runMigrations(folder: string): Promise<void>
  /** The embedded database's files in one blob. Only PGlite has them. */
  dump?: () => Promise<Blob>
  close(): Promise<void>
}

/** Opens the database the settings name. A folder that another process holds open is refused with a clear message. */
export async function openDatabase(settings: DatabaseSettings): Promise<Database> {
  return settings.databaseUrl === null ? openEmbedded(settings) : openServer(settings.databaseUrl)
}

/** Tells every listener of every process, when the surrounding transaction commits. */
export async function notify(db: Db, channel: string, payload: string): Promise<void> {
  await db.execute(sql`select pg_notify(${channel}, ${payload})`)
}

/** Rows of a hand-written query; the two drivers wrap them differently. */
export async function rawRows<T extends Record<string, unknown>>(db: Db, query: SQL): Promise<T[]> {
  const result: unknown = await db.execute(query)
  return Array.isArray(result) ? [...result] : (result as { rows: T[] }).rows
}

async function openEmbedded({ dataDir, snapshot }: DatabaseSettings): Promise<Database> {
  const release = dataDir === null ? () => {} : lockFolder(dataDir)
  const [{ PGlite }, { btree_gist }, { citext }, { pg_trgm }, { drizzle }, { migrate }, { fromPglite }] =
    await Promise.all([
      import('@electric-sql/pglite'),
      import('@electric-sql/pglite/contrib/btree_gist'),
      import('@electric-sql/pglite/contrib/citext'),
      import('@electric-sql/pglite/contrib/pg_trgm'),
      import('drizzle-orm/pglite'),
      import('drizzle-orm/pglite/migrator'),
      import('pg-boss'),
    ])
  const client = await PGlite.create({
    ...(dataDir !== null && { dataDir: filesOf(dataDir) }),
    ...(snapshot && { loadDataDir: snapshot }),
    extensions: { btree_gist, citext, pg_trgm },
  })
  await client.exec(`set time zone 'UTC'`)
  const db = drizzle({ client })
  return {
    db,
    kind: 'pglite',
    bossOptions: { db: fromPglite(client), backend: 'pglite' },
    listen: (channel, handler) => client.listen(channel, handler),
    runMigrations: (folder) => migrate(db, { migrationsFolder: folder }),
    dump: () => client.dumpDataDir('none'),
    close: async () => {
      await client.close()
      release()
    },
  }
}

/** Removes the embedded database of a folder, unless a process has it open. */
export function removeEmbedded(dataDir: string): void {
  const release = lockFolder(dataDir)
  rmSync(filesOf(dataDir), { recursive: true, force: true })
  release()
}

function filesOf(dataDir: string): string {
  return join(/* turbopackIgnore: true */ dataDir, 'database')
}

async function openServer(url: string): Promise<Database> {
  const [{ default: postgres }, { drizzle }, { migrate }] = await Promise.all([
    import('postgres'),
    import('drizzle-orm/postgres-js'),
    import('drizzle-orm/postgres-js/migrator'),
  ])
  const session = { application_name: 'farstep', TimeZone: 'UTC' }
  const client = preparing(postgres(url, { connection: { ...session, statement_timeout: 30_000 }, onnotice: () => {} }))
  const db = drizzle({ client })
  return {
    db,
    kind: 'postgres',
    bossOptions: { connectionString: url, backend: 'postgres' },
    listen: async (channel, handler) => {
      const subscription = await client.listen(channel, handler)
      return () => subscription.unlisten()
    },
    // On one connection of its own, under a lock: several processes may start at once, and a migration may be slow.
    runMigrations: async (folder) => {
      const alone = postgres(url, { connection: session, max: 1, onnotice: () => {} })
      try {
        await alone`select pg_advisory_lock(hashtext('farstep migrations'))`
        await migrate(drizzle({ client: alone }), { migrationsFolder: folder })
      } finally {
        await alone.end()
      }
    },
    close: () => client.end({ timeout: 5 }),
  }
}

/** Above this, a statement is a list written out, whose length is seldom the same twice. */
const PREPARED_PARAMS_MAX = 64

/**
 * Drizzle sends each query unnamed: the server plans it anew every time, and has to be asked for its types first. Named,
 * a query is planned once a connection, and those of a transaction that don't wait for each other travel together.
 */
function preparing<T extends Sql | TransactionSql>(client: T): T {
  const { unsafe } = client
  client.unsafe = ((query: string, params: [] = [], options = {}) =>
    unsafe(query, params, {
      ...options,
      prepare: params.length > 0 && params.length <= PREPARED_PARAMS_MAX,
    })) as typeof unsafe
  if ('begin' in client) {
    const begin = client.begin as (work: (tx: TransactionSql) => unknown) => Promise<unknown>
    client.begin = ((work: (tx: TransactionSql) => unknown) =>
      begin((tx) => work(preparing(tx)))) as typeof client.begin
  }
  return client
}

/**
 * Two processes on one folder would silently corrupt it. An exclusive transaction on a file beside it lets one in, and
 * the operating system frees it however that process ends.
 */
function lockFolder(dataDir: string): () => void {
  mkdirSync(dataDir, { recursive: true })
  const lock = new DatabaseSync(join(/* turbopackIgnore: true */ dataDir, 'database.lock'))
  try {
    lock.exec('begin exclusive')
  } catch (error) {
    lock.close()
    if ((error as { errcode?: number }).errcode !== SQLITE_BUSY) throw error
    throw new FolderInUse(dataDir)
  }
  return () => lock.close()
}

/** sqlite.org/rescode.html: "the database file could not be written because of concurrent activity". */
const SQLITE_BUSY = 5

/** Another process has the embedded database open. */
export class FolderInUse extends Error {
  constructor(dataDir: string) {
    super(
      `The data folder ${dataDir} is already open in another Farstep process. ` +
        'Stop that one first, give this one another DATA_DIR, or use a PostgreSQL server (DATABASE_URL) for several.',
    )
    this.name = 'FolderInUse'
  }
}

const SHARED = Symbol.for('farstep.database')
const processWide = globalThis as { [SHARED]?: Database }

/** Makes the database of this process known to every bundle in it; the embedded one must be opened only once. */
export function shareDatabase(database: Database): void {
  processWide[SHARED] = database
}

/** The database that the process opened at its start. */
export function sharedDatabase(): Database {
  const database = processWide[SHARED]
  if (!database) throw new Error('The database is not open: it is opened when the server starts')
  return database
}
