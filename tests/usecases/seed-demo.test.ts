import { sql } from 'drizzle-orm'
import { expect, test } from 'vitest'
import { rawRows } from '#db/client.ts'
import { Temporal } from '#lib/base/time.ts'
import { DISPOSITIONS } from '#lib/domain/screening/screening.ts'
import { DEMO_CASES } from '#seed/demo-cases.ts'
import { CLINIC_ZONE } from '#seed/demo-clinic.ts'
import { seedDemo } from '#seed/seed-demo.ts'
import { emptyDb } from '#tests/support/db.ts'

// A working day before a public holiday, and a Saturday: the demo must be full on both.
test.each(['2026-11-25T17:00:00Z', '2027-03-13T20:00:00Z'])(
  'seeded at %s, the demo clinic has every disposition twice and visits today and tomorrow',
  { timeout: 180_000 },
  async (now) => {
    const database = await emptyDb()
    await seedDemo(database, Temporal.Instant.from(now))
    expect(DEMO_CASES).toHaveLength(40)

    const dispositions = await rawRows<{ disposition: string; n: number }>(
      database.db,
      sql`select disposition, count(*)::int as n
          from (select distinct on (referral_id) referral_id, disposition from assessments order by referral_id, at desc, id desc) newest
          group by 1`,
    )
    const counts = new Map(dispositions.map(({ disposition, n }) => [disposition, n]))
    expect(DISPOSITIONS.filter((disposition) => (counts.get(disposition) ?? 0) < 2)).toEqual([])

    const today = Temporal.Instant.from(now).toZonedDateTimeISO(CLINIC_ZONE).toPlainDate()
    const booked = await rawRows<{ day: string; n: number }>(
      database.db,
      sql`select (starts_at at time zone ${CLINIC_ZONE})::date::text as day, count(*)::int as n from visits where status = 'booked' group by 1`,
    )
    const on = (day: Temporal.PlainDate) => booked.find((row) => row.day === day.toString())?.n ?? 0
    expect(on(today)).toBeGreaterThanOrEqual(4)
    expect(on(today.add({ days: 1 }))).toBeGreaterThanOrEqual(4)

    const stages = await rawRows<{ stage: string }>(
      database.db,
      sql`select distinct stage::text as stage from referrals order by 1`,
    )
    expect(stages.map(({ stage }) => stage)).toEqual(['booked', 'closed', 'received', 'screened', 'triaged'])
  },
)
