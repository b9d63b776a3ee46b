/** Commands already carried out. Only `once` reads and writes these. */
import { and, eq, sql } from 'drizzle-orm'
import type { Db } from '../client.ts'
import { prepared } from '../prepared.ts'
import { commands } from '../schema/index.ts'

export async function findCommand(db: Db, clinicId: string, key: string) {
  const [row] = await db
    .select({ kind: commands.kind, actorId: commands.actorId, answer: commands.answer })
    .from(commands)
    .where(and(eq(commands.clinicId, clinicId), eq(commands.key, key)))
  return row ?? null
}

export async function recordCommand(db: Db, row: typeof commands.$inferInsert): Promise<void> {
  await insertCommand(db, row)
}

const { placeholder } = sql
const insertCommand = prepared('insert_command', (db) =>
  db.insert(commands).values({
    clinicId: placeholder('clinicId'),
    key: placeholder('key'),
    kind: placeholder('kind'),
    actorId: placeholder('actorId'),
    answer: placeholder('answer'),
    at: placeholder('at'),
  }),
)
