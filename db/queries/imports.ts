/** What each file of referrals brought in. Written once, in the transaction that brings it in. */
import { and, asc, desc, eq, isNull, sql } from 'drizzle-orm'
import type { FileFault } from '#lib/domain/intake/referral-file.ts'
import type { Db } from '../client.ts'
import { imports, patients, referrals, tasks } from '../schema/index.ts'

export type ImportRow = Omit<typeof imports.$inferSelect, 'faults'> & { faults: FileFault[] }

export async function insertImport(tx: Db, row: ImportRow): Promise<void> {
  await tx.insert(imports).values(row)
}

export async function findImport(db: Db, clinicId: string, id: string): Promise<ImportRow | null> {
  const [row] = await db
    .select()
    .from(imports)
    .where(and(eq(imports.clinicId, clinicId), eq(imports.id, id)))
  return row ? { ...row, faults: row.faults as FileFault[] } : null
}

export async function listImports(db: Db, clinicId: string, limit: number): Promise<ImportRow[]> {
  const rows = await db
    .select()
    .from(imports)
    .where(eq(imports.clinicId, clinicId))
    .orderBy(desc(imports.at))
    .limit(limit)
  return rows.map((row) => ({ ...row, faults: row.faults as FileFault[] }))
}

/** Referrals of one file whose patient may be somebody the clinic knows, while nobody has decided. */
export async function listUndecidedOfImport(db: Db, clinicId: string, importId: string, limit: number) {
  return db
    .select({
      referralId: referrals.id,
      givenName: patients.givenName,
      familyName: patients.familyName,
      birthDate: patients.birthDate,
    })
    .from(tasks)
    .innerJoin(referrals, and(eq(referrals.clinicId, tasks.clinicId), eq(referrals.id, tasks.referralId)))
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .where(
      and(
        eq(tasks.clinicId, clinicId),
        eq(tasks.kind, 'match'),
        isNull(tasks.doneAt),
        sql`${tasks.detail} ->> 'importId' = ${importId}`,
      ),
    )
    .orderBy(asc(patients.familyName), asc(patients.givenName), asc(referrals.id))
    .limit(limit)
}
