/** Camera rehearsals: what each found. Rows are only ever added. */
import { and, desc, eq } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import { ADVICE, type Advice } from '#lib/domain/rehearsal/advice.ts'
import { type Readings, readingsSchema } from '#lib/domain/rehearsal/readings.ts'
import type { Db } from '../client.ts'
import { rehearsals } from '../schema/index.ts'

export type Rehearsal = { at: Temporal.Instant; readings: Readings; advice: Advice[] }

export async function insertRehearsal(
  tx: Db,
  row: Rehearsal & { clinicId: string; id: string; referralId: string },
): Promise<void> {
  await tx.insert(rehearsals).values(row)
}

/** The newest rehearsal of each set-up, newest first. */
export async function listNewestRehearsals(db: Db, clinicId: string, referralId: string): Promise<Rehearsal[]> {
  const rows = await db
    .select({ at: rehearsals.at, readings: rehearsals.readings, advice: rehearsals.advice })
    .from(rehearsals)
    .where(and(eq(rehearsals.clinicId, clinicId), eq(rehearsals.referralId, referralId)))
    .orderBy(desc(rehearsals.at), desc(rehearsals.id))
    .limit(MOST_ROWS)
  const newest = new Map<string, Rehearsal>()
  for (const row of rows) {
    const readings = readingsSchema.parse(row.readings)
    const advice = ADVICE.filter((each) => row.advice.includes(each))
    if (!newest.has(readings.setUpId)) newest.set(readings.setUpId, { at: row.at, readings, advice })
  }
  return [...newest.values()]
}

/** Somebody may try for an hour; the last tries tell enough. */
const MOST_ROWS = 50
