/**
 * Many rows in one statement. A file of referrals is tens of thousands of rows; as one parameter each value would have to
 * be built, sent and parsed by itself, so the rows travel as one JSON document that the database takes apart.
 */
import { getTableColumns, getTableName, sql } from 'drizzle-orm'
import type { PgTable } from 'drizzle-orm/pg-core'
import type { Db } from './client.ts'

/**
 * From so many rows on, the table is counted in the same transaction. Until then the database plans by what it counted
 * before, and a count of its own that runs meanwhile sees the new pages as empty of rows: the check of a foreign key to
 * this table then walks all rows of the clinic for each row. Who counts in a transaction keeps others from counting the
 * table until it ends.
 */
const MANY = 1000

/** Inserts the rows. Every row has the same fields; a field that none has gets its default. */
export async function insertMany<T extends PgTable>(
  tx: Db,
  table: T,
  rows: readonly T['$inferInsert'][],
): Promise<void> {
  const [first] = rows
  if (!first) return
  const columns = Object.entries(getTableColumns(table)).filter(([field]) => field in first)
  const document = rows.map((row) =>
    Object.fromEntries(
      columns.map(([field, column]) => {
        const value: unknown = (row as Record<string, unknown>)[field]
        // Documents and lists are JSON already; everything else goes as its driver's text.
        const isPlain =
          value === null || value === undefined || column.dataType === 'json' || column.dataType === 'array'
        return [column.name, isPlain ? (value ?? null) : column.mapToDriverValue(value)]
      }),
    ),
  )
  const name = sql.identifier(getTableName(table))
  const names = sql.join(
    columns.map(([, column]) => sql.identifier(column.name)),
    sql`, `,
  )
  await tx.execute(
    sql`insert into ${name} (${names}) select ${names} from json_populate_recordset(null::${name}, ${JSON.stringify(document)}::json)`,
  )
  if (rows.length >= MANY) await tx.execute(sql`analyze ${name}`)
}
