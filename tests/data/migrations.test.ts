/** What a migration writes into rows that were there before it, on both back ends. */
import { mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs'
import { mkdir } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join, resolve } from 'node:path'
import { sql } from 'drizzle-orm'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { type Database, type Db, rawRows } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { unmigratedDb } from '#tests/support/db.ts'

const MIGRATIONS = resolve('db/migrations')

/** Brings an empty database to where it stood before the migration with this number. */
async function migrateUntilBefore(database: Database, number: string): Promise<void> {
  const folder = mkdtempSync(join(tmpdir(), 'farstep-migrations-'))
  const journal = JSON.parse(readFileSync(join(MIGRATIONS, 'meta', '_journal.json'), 'utf8')) as {
    entries: { tag: string }[]
  }
  const entries = journal.entries.filter(({ tag }) => tag < number)
  for (const { tag } of entries) symlinkSync(join(MIGRATIONS, `${tag}.sql`), join(folder, `${tag}.sql`))
  await mkdir(join(folder, 'meta'))
  writeFileSync(join(folder, 'meta', '_journal.json'), JSON.stringify({ ...journal, entries }))
  await database.runMigrations(folder)
  rmSync(folder, { recursive: true })
}

type Step = { stationId: string; wayId: string }
type Entry = Step & { side: 'left' | 'right'; result: 'done' | 'done_with_difficulty' | 'not_possible' | 'not_reached' }
type Visit = { clinicId: string; id: string; plan: { steps?: Step[] } | null; isSigned: boolean; entries: Entry[] }

const step = (stationId: string, wayId: string): Step => ({ stationId, wayId })
const entry = (stationId: string, wayId: string, more: Partial<Entry> = {}): Entry => ({
  stationId,
  wayId,
  side: 'left',
  result: 'done',
  ...more,
})
const visit = (id: string, plan: Visit['plan'], entries: Entry[], more: Partial<Visit> = {}): Visit => ({
  clinicId: 'cln_1',
  id,
  plan,
  isSigned: true,
  entries,
  ...more,
})

const TWO_STEPS = { steps: [step('calf', 'strap'), step('heel', 'wall')] }
/** Each entry with whether it was done in the way that the visit's plan named. */
const TOLD: [Visit, boolean[]][] = [
  [visit('as_planned', TWO_STEPS, [entry('calf', 'strap'), entry('heel', 'wall')]), [true, true]],
  [
    visit('on_both_sides', TWO_STEPS, [entry('calf', 'strap'), entry('calf', 'strap', { side: 'right' })]),
    [true, true],
  ],
  [visit('in_another_way', TWO_STEPS, [entry('calf', 'hand'), entry('heel', 'wall')]), [false, true]],
  [
    visit('on_one_side_in_another_way', TWO_STEPS, [entry('calf', 'strap'), entry('calf', 'hand', { side: 'right' })]),
    [true, false],
  ],
  [visit('in_the_way_of_another_station', TWO_STEPS, [entry('calf', 'wall'), entry('heel', 'strap')]), [false, false]],
  [visit('added', TWO_STEPS, [entry('calf', 'strap'), entry('squat', 'chair')]), [true, false]],
  [
    visit('not_done', TWO_STEPS, [
      entry('calf', 'strap', { result: 'not_possible' }),
      entry('heel', 'wall', { result: 'not_reached' }),
    ]),
    [true, true],
  ],
  [
    visit('each_side_in_its_own_way', { steps: [step('calf', 'strap'), step('calf', 'hand')] }, [
      entry('calf', 'strap'),
      entry('calf', 'hand', { side: 'right' }),
    ]),
    [true, true],
  ],
  [
    visit('not_signed_yet', TWO_STEPS, [entry('calf', 'strap'), entry('heel', 'stairs')], { isSigned: false }),
    [true, false],
  ],
  [visit('without_a_plan', null, [entry('calf', 'strap')]), [false]],
  [visit('with_an_empty_plan', { steps: [] }, [entry('calf', 'strap')]), [false]],
  [visit('with_a_plan_without_steps', {}, [entry('calf', 'strap')]), [false]],
  [visit('as_planned', { steps: [step('calf', 'hand')] }, [entry('calf', 'strap')], { clinicId: 'cln_2' }), [false]],
  [
    visit('with_hard_names', { steps: [step(`o'c"\\{`, '%_')] }, [entry(`o'c"\\{`, '%_'), entry(`o'c`, '%_')]),
    [true, false],
  ],
]

const anyStep = fc.record({ stationId: fc.constantFrom('a', 'b', 'c'), wayId: fc.constantFrom('x', 'y', 'xy') })
const anyVisit = fc.record({
  plan: fc.option(fc.record({ steps: fc.array(anyStep, { maxLength: 4 }) }), { freq: 9 }),
  isSigned: fc.boolean(),
  entries: fc.uniqueArray(
    fc.record({
      stationId: fc.constantFrom('a', 'b', 'c', 'd'),
      wayId: fc.constantFrom('x', 'y', 'xy'),
      side: fc.constantFrom('left' as const, 'right' as const),
      result: fc.constantFrom('done' as const, 'done_with_difficulty' as const, 'not_possible' as const),
    }),
    { selector: ({ stationId, side }) => `${stationId} ${side}`, maxLength: 6 },
  ),
})

/** As entries were written before the mark: into an open record, which is signed afterwards. Nothing but what is asked for. */
async function write(db: Db, visits: readonly Visit[]): Promise<void> {
  await db.transaction(async (tx) => {
    // Whose visits they are plays no part, so there is no clinic, no clinician and no patient.
    await tx.execute(sql`set local session_replication_role = replica`)
    await tx.execute(sql`
      insert into visits (clinic_id, id, referral_id, patient_id, clinician_id, session_id, mode, status, starts_at, ends_at,
        busy_from, busy_to, plan, patient_time_zone, calendar_uid, created_at, changed_at)
      select v->>'clinicId', v->>'id', 'ref_1', 'pat_' || (v->>'id'), 'cli_' || (v->>'id'), 'ses_1', 'video', 'done', s, s + interval '1 hour',
        s, s + interval '1 hour', nullif(v->'plan', 'null'), 'America/New_York', v->>'id', s, s
      from jsonb_array_elements(${JSON.stringify(visits)}::jsonb) v,
      lateral (select timestamptz '2026-03-03T14:00:00Z' as s) at`)
    await tx.execute(sql`insert into visit_records (clinic_id, visit_id, began_at)
      select clinic_id, id, starts_at from visits where (clinic_id, id) not in (select clinic_id, visit_id from visit_records)`)
  })
  await db.execute(sql`
    insert into station_outcomes (clinic_id, visit_id, station_id, way_id, side, result, reason, recorded_by, recorded_at)
    select v->>'clinicId', v->>'id', e->>'stationId', e->>'wayId', (e->>'side')::side, (e->>'result')::station_result,
      case e->>'result' when 'not_possible' then 'pain'::station_reason end, 'stf_1', now()
    from jsonb_array_elements(${JSON.stringify(visits)}::jsonb) v, jsonb_array_elements(v->'entries') e`)
  await db.execute(sql`
    update visit_records r set outcome = 'completed', ended_at = began_at, signed_by = 'stf_1', signed_at = began_at
    from jsonb_array_elements(${JSON.stringify(visits)}::jsonb) v
    where r.clinic_id = v->>'clinicId' and r.visit_id = v->>'id' and (v->>'isSigned')::boolean`)
}

async function marks(db: Db): Promise<Map<string, boolean>> {
  const rows = await rawRows<{ key: string; asPlanned: boolean }>(
    db,
    sql`select concat_ws(' ', clinic_id, visit_id, station_id, side) as key, as_planned as "asPlanned" from station_outcomes`,
  )
  return new Map(rows.map(({ key, asPlanned }) => [key, asPlanned]))
}

const keyOf = ({ clinicId, id }: Visit, { stationId, side }: Entry) => `${clinicId} ${id} ${stationId} ${side}`

test('an entry from before the mark "as planned" is marked as it would be if it were written now', async () => {
  await fc.assert(
    fc.asyncProperty(fc.array(anyVisit, { minLength: 200, maxLength: 200 }), async (drawn) => {
      const visits: Visit[] = [
        ...TOLD.map(([told]) => told),
        ...drawn.map((each, n) => ({ clinicId: 'cln_1', id: `drawn_${n}`, ...each })),
      ]
      const database = await unmigratedDb()
      const { db } = database
      try {
        await migrateUntilBefore(database, '0018')
        await write(db, visits)
        await migrate(database)
        const before = await marks(db)
        const again = visits.map((each) => ({ ...each, id: `again_${each.id}` }))
        await write(db, again)
        const now = await marks(db)

        for (const [told, expected] of TOLD)
          expect([told.id, told.entries.map((each) => before.get(keyOf(told, each)))]).toEqual([told.id, expected])
        const entries = again.flatMap((each) => each.entries.map((one) => keyOf(each, one)))
        expect(entries.map((key) => [key, before.get(key.replace('again_', ''))])).toEqual(
          entries.map((key) => [key, now.get(key)]),
        )
        expect(before.size).toBe(entries.length)
      } finally {
        await database.close()
      }
    }),
    { numRuns: 1, endOnFailure: true },
  )
}, 60_000)
