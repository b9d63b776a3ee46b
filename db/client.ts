/**
 * One way to a database, whichever it is. With an address it is a PostgreSQL server; without, PGlite (PostgreSQL inside
 * this process) over a folder. Everything above sees one `Db` type and the same constraints.
 */
import { mkdirSync, rmSync } from 'node:fs'
import { join } from 'node:path'
import { DatabaseSync } from 'node:sqlite'
import { type SQL, sql } from 'drizzle-orm'
import type { PgDatabase, PgQueryResultHKT } from 'drizzle-orm/pg-core'
import type { ClientBase, PoolConfig } from 'pg'
import type { ConstructorOptions as BossOptions } from 'pg-boss'
import type { Sql } from 'postgres'

/** The common base of both drivers and of their transactions. Inside a transaction only `tx` may be queried. */
export type Db = PgDatabase<PgQueryResultHKT>

export type DatabaseSettings = {
  databaseUrl: string | null
  /** Absolute folder of the embedded database; null keeps it in memory. */
  dataDir: string | null
  /** How many connections to a server are open at most. */
  connections?: number
  /** A dump to start the embedded database from instead of an empty one. */
  snapshot?: Blob
}

export type Database = {
  db: Db
  kind: 'pglite' | 'postgres'
  /** What the queue runs on: `new PgBoss({ ...database.bossOptions })`. */
  bossOptions: BossOptions
  /**
   * Calls `handler` with each payload notified on `channel`, until the returned function is called. `onListening` is called
   * whenever listening begins, also again after a break: what was said in between is lost.
   */
  listen(channel: string, handler: (payload: string) => void, onListening?: () => void): Promise<() => Promise<void>>
  runMigrations(folder: string): Promise<void>
  /** The embedded database's files in one blob. Only PGlite has them. */
  dump?: () => Promise<Blob>
  close(): Promise<void>
}

const CONNECTIONS = 10

/** Opens the database the settings name. A folder that another process holds open is refused with a clear message. */
export async function openDatabase(settings: DatabaseSettings): Promise<Database> {
  return settings.databaseUrl === null
    ? openEmbedded(settings)
    : openServer(settings.databaseUrl, settings.connections ?? CONNECTIONS)
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
    listen: async (channel, handler, onListening) => {
      const stop = await client.listen(channel, handler)
      onListening?.()
      return stop
    },
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

async function openServer(url: string, connections: number): Promise<Database> {
  const [{ default: pg }, { default: postgres }, { drizzle }, { migrate }] = await Promise.all([
    import('pg'),
    import('postgres'),
    import('drizzle-orm/node-postgres'),
    import('drizzle-orm/node-postgres/migrator'),
  ])
  const address = { connectionString: url, application_name: 'farstep', connectionTimeoutMillis: 10_000 }
  const pool = new pg.Pool({ ...address, max: connections, statement_timeout: 30_000, pipeline: true } as PoolConfig)
  pool.on('connect', prepareQueries)
  pool.on('connect', prepareSession)
  // A connection that breaks while nobody uses it is replaced when the next is wanted.
  pool.on('error', () => {})
  const db = drizzle({ client: pool })
  // One a connection, so that what was written for it once is found again (`prepared`).
  const onConnection = new WeakMap<ClientBase, Db>()
  db.transaction = async (work, config) => {
    const client = await pool.connect()
    const own = onConnection.get(client) ?? drizzle({ client })
    onConnection.set(client, own)
    try {
      return await own.transaction(work as (tx: Db) => ReturnType<typeof work>, config)
    } finally {
      // The pool throws a broken one away, also one that broke before it could begin.
      client.release()
    }
  }
  /** Listens on a connection of its own, and by itself on another one when that breaks. */
  let listener: Sql | undefined
  return {
    db,
    kind: 'postgres',
    bossOptions: { connectionString: url, backend: 'postgres' },
    listen: async (channel, handler, onListening) => {
      listener ??= postgres(url, { connection: { application_name: 'farstep' }, onnotice: () => {} })
      const subscription = await listener.listen(channel, handler, onListening)
      return () => subscription.unlisten()
    },
    // Beside the pool, under a lock, because several processes may start at once, and without a limit, because a migration
    // may be slow.
    runMigrations: async (folder) => {
      const client = new pg.Client(address)
      client.on('error', () => {})
      await client.connect()
      try {
        await prepareSession(client)
        await client.query(`select pg_advisory_lock(hashtext('farstep migrations'))`)
        await migrate(drizzle({ client }), { migrationsFolder: folder })
      } finally {
        await client.end()
      }
    },
    close: async () => {
      await Promise.all([pool.end(), listener?.end({ timeout: 5 })])
    },
  }
}

/** What is counted over years counts as dear enough to be compiled (`jit`), and compiling took longer than counting. */
async function prepareSession(client: ClientBase): Promise<void> {
  await client.query(`set time zone 'UTC'; set jit = off`)
}

/** Above this, a statement is a list written out, whose length is seldom the same twice. */
const PREPARED_PARAMS_MAX = 64

/**
 * Drizzle sends each query unnamed, and the server plans it anew every time. Named, a query is planned once a connection;
 * that those of a transaction which don't wait for each other travel together is the pool's `pipeline`.
 */
function prepareQueries(client: ClientBase): void {
  // Without somebody who listens, a connection that breaks would end the process.
  client.on('error', () => {})
  const query = client.query.bind(client) as (...args: unknown[]) => unknown
  const prepared = (asked: unknown, values: unknown, ...rest: unknown[]) => {
    const isOurs = typeof asked === 'object' && asked !== null && 'text' in asked && Array.isArray(values)
    if (!isOurs || values.length === 0 || values.length > PREPARED_PARAMS_MAX) return query(asked, values, ...rest)
    return query({ ...asked, name: statementName(String(asked.text)) }, values, ...rest)
  }
  client.query = prepared as typeof client.query
}

/** One name for one text, in every connection. */
const statementNames = new Map<string, string>()

function statementName(text: string): string {
  const name = statementNames.get(text) ?? `farstep_${statementNames.size}`
  statementNames.set(text, name)
  return name
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
