/** The dates on which a clinic is closed, each with its name. */
import { and, asc, eq, inArray } from 'drizzle-orm'
import type { Db } from '../client.ts'
import { holidays } from '../schema/index.ts'

export type Holiday = { onDate: string; name: string }

export async function listHolidays(db: Db, clinicId: string): Promise<Holiday[]> {
  return db
    .select({ onDate: holidays.onDate, name: holidays.name })
    .from(holidays)
    .where(eq(holidays.clinicId, clinicId))
    .orderBy(asc(holidays.onDate))
}

/** Takes dates off the list and puts others on it. */
export async function writeHolidays(
  tx: Db,
  clinicId: string,
  { off, on }: { off: readonly string[]; on: readonly Holiday[] },
): Promise<void> {
  if (off.length > 0)
    await tx.delete(holidays).where(and(eq(holidays.clinicId, clinicId), inArray(holidays.onDate, [...off])))
  if (on.length > 0) await tx.insert(holidays).values(on.map((day) => ({ ...day, clinicId })))
}
