/** Commands already carried out. Only `once` reads and writes these. */
import { and, eq } from 'drizzle-orm'
import type { Db } from '../client.ts'
import { commands } from '../schema/index.ts'

export async function findCommand(db: Db, clinicId: string, key: string) {
  const [row] = await db
    .select({ kind: commands.kind, actorId: commands.actorId, answer: commands.answer })
    .from(commands)
    .where(and(eq(commands.clinicId, clinicId), eq(commands.key, key)))
  return row ?? null
}

export async function recordCommand(db: Db, row: typeof commands.$inferInsert): Promise<void> {
  await db.insert(commands).values(row)
}
