/** What the database writes of a point in time is read back as that point, whichever driver brings it. */
import { sql } from 'drizzle-orm'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { rawRows } from '#db/client.ts'
import { readInstant } from '#db/schema/columns.ts'
import { Temporal } from '#lib/base/time.ts'
import { emptyDb } from '#tests/support/db.ts'

/** From the year 1 to the year 9999, with and without parts of a second down to the microsecond, which is all that is kept. */
const instant = fc
  .tuple(
    fc.integer({ min: -62_135_596_800, max: 253_402_300_799 }),
    fc.constantFrom(0, 0, 5, 120, 999),
    fc.constantFrom(0, 0, 7, 480),
  )
  .map(([seconds, ms, us]) => new Temporal.Instant(BigInt(seconds) * 10n ** 9n + BigInt(ms * 1000 + us) * 1000n))

test('as written by the database, to the microsecond', async () => {
  const { db } = await emptyDb()
  await fc.assert(
    fc.asyncProperty(fc.array(instant, { minLength: 1, maxLength: 50 }), async (instants) => {
      const list = sql.join(
        instants.map((at) => sql`(${at.toString()}::timestamptz)`),
        sql`, `,
      )
      const rows = await rawRows<{ written: string }>(db, sql`select at::text as written from (values ${list}) t (at)`)
      expect(rows.map(({ written }) => readInstant(written).toString())).toEqual(instants.map((at) => at.toString()))
    }),
    { numRuns: 40 },
  )
})
