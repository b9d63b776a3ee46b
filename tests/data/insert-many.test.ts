/** Many rows in one statement, and what the database knows of them before they are committed. */
import { sql } from 'drizzle-orm'
import { expect, test } from 'vitest'
import { type Db, rawRows } from '#db/client.ts'
import { insertMany } from '#db/insert-many.ts'
import { patients } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { addSmallClinic, CLINIC, NOW } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'

const MANY = 2000

// Only a server has a second connection that could count the table meanwhile.
test.runIf(process.env.TEST_BACK_END === 'postgres')(
  'a count that others begin meanwhile does not lead the check of a foreign key past the primary key',
  async () => {
    const { db } = await emptyDb()
    await addSmallClinic(db)
    await db.transaction(async (tx) => {
      await insertMany(tx, patients, people(MANY))
      // As the database does by itself, now and then: it passes over what it can't have at once.
      await db.execute(sql`analyze (skip_locked) patients`)
      expect(await indexOfCheck(tx)).toBe('patients_clinic_id_id_pk')
    })
  },
)

function people(count: number): (typeof patients.$inferInsert)[] {
  return Array.from({ length: count }, (_, n) => ({
    clinicId: CLINIC,
    id: `pat_${n}`,
    givenName: 'Quillon',
    familyName: `Sample ${n}`,
    language: 'en',
    createdAt: Temporal.Instant.from(NOW),
  }))
}

/** The index by which PostgreSQL looks a referenced patient up; the statement is that of its own `ri_triggers.c`. */
async function indexOfCheck(tx: Db): Promise<unknown> {
  const [row] = await rawRows<{ 'QUERY PLAN': { Plan: Plan }[] }>(
    tx,
    sql`explain (format json) select 1 from only patients x where clinic_id = ${CLINIC} and id = 'pat_1' for key share of x`,
  )
  const scan = row?.['QUERY PLAN'][0]?.Plan.Plans?.[0]
  return scan?.['Index Name']
}

type Plan = { 'Index Name'?: string; Plans?: Plan[] }
