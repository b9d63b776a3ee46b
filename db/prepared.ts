/**
 * Queries that are written once a connection and sent many times. Drizzle puts the text of a query together at each call,
 * which takes longer than a small query takes to be carried out; what every booking asks has placeholders instead.
 *
 * A placeholder stands in a condition as it is: instants go there as text. As the value of a column it is turned into what
 * the driver takes, and must not be null.
 */
import { type Column, type SQL, sql } from 'drizzle-orm'
import { PgDialect } from 'drizzle-orm/pg-core'
import type { Db } from './client.ts'

type Values = Record<string, unknown>
type Written<T> = { execute(values: Values): Promise<T> }

/** A query of Drizzle's own, by a name that no other has. */
export function prepared<T>(
  name: string,
  write: (db: Db) => { prepare(name: string): Written<T> },
): (db: Db, values: Values) => Promise<T> {
  return oncePerSession((db) => write(db).prepare(name))
}

/** Of a list by that name, which goes as one value, however long it is. */
export function isAmong(column: Column, name: string): SQL {
  return sql`${column} = any(${sql.placeholder(name)})`
}

const dialect = new PgDialect()

/** A query written by hand, and its rows. */
export function preparedSql<T extends Values>(name: string, query: SQL): (db: Db, values: Values) => Promise<T[]> {
  const text = dialect.sqlToQuery(query)
  const send = oncePerSession((db) => db._.session.prepareQuery(text, undefined, name, false))
  return async (db, values) => ((await send(db, values)) as { rows: T[] }).rows
}

function oncePerSession<T>(write: (db: Db) => Written<T>): (db: Db, values: Values) => Promise<T> {
  const written = new WeakMap<object, Written<T>>()
  return async (db, values) => {
    const { session } = db._
    const known = written.get(session) ?? write(db)
    written.set(session, known)
    // A query of Drizzle's begins as late: what is sent together keeps its order.
    await null
    return known.execute(values)
  }
}
