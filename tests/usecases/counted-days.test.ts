/** The law of what is kept of each day: counted from kept days, now or then, tries are what a plain count of rows finds. */
import { sql } from 'drizzle-orm'
import fc from 'fast-check'
import { expect, test } from 'vitest'
import { type Db, openDatabase, rawRows } from '#db/client.ts'
import { countDay } from '#db/queries/kept-figures.ts'
import { countTries } from '#db/queries/learning.ts'
import { Temporal } from '#lib/base/time.ts'
import type { StationResult } from '#lib/domain/outcomes/vocabulary.ts'
import { keepFigures } from '#lib/usecases/keep-figures.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor } from '#tests/support/clinic.ts'
import { emptyDb, newServerDb } from '#tests/support/db.ts'

/** Around the night of 8 March 2026, when New York's day had 23 hours. */
const FIRST = '2026-03-06'
const DAYS = 5
const NOW = '2026-03-12T16:00:00Z'
const REFERRALS = ['ref_1', 'ref_2', 'ref_3']
const ZONES = ['America/New_York', 'Asia/Tokyo', 'America/Santiago']

type Entry = { side: 'left' | 'right'; wayId: 'strap' | 'hand'; result: StationResult }
type Step =
  | { does: 'add'; hour: number; referral: number; isDone: boolean; entries: Entry[] }
  | { does: 'sign' | 'end' | 'miss'; visit: number }
  | { does: 'triage'; referral: number; version: number }
  | { does: 'zone'; zone: string }
  | { does: 'keep' }
  | { does: 'count'; day: number }

const add = fc.record({
  does: fc.constant('add' as const),
  hour: fc.nat(24 * DAYS - 1),
  referral: fc.nat(REFERRALS.length - 1),
  isDone: fc.boolean(),
  entries: fc.uniqueArray(
    fc.record({
      side: fc.constantFrom('left' as const, 'right' as const),
      wayId: fc.constantFrom('strap' as const, 'hand' as const),
      result: fc.constantFrom('done' as const, 'not_possible' as const, 'not_reached' as const),
    }),
    { selector: ({ side }) => side, minLength: 1, maxLength: 2 },
  ),
})
const visit = fc.nat(7)
const referral = fc.nat(REFERRALS.length - 1)
const step: fc.Arbitrary<Step> = fc.oneof(
  { weight: 1, arbitrary: add },
  { weight: 4, arbitrary: fc.record({ does: fc.constant('sign' as const), visit }) },
  { weight: 2, arbitrary: fc.record({ does: fc.constantFrom('end' as const, 'miss' as const), visit }) },
  {
    weight: 2,
    arbitrary: fc.record({ does: fc.constant('triage' as const), referral, version: fc.constantFrom(1, 2) }),
  },
  { weight: 1, arbitrary: fc.record({ does: fc.constant('zone' as const), zone: fc.constantFrom(...ZONES) }) },
  { weight: 3, arbitrary: fc.constant({ does: 'keep' as const }) },
  { weight: 1, arbitrary: fc.record({ does: fc.constant('count' as const), day: fc.nat(DAYS - 1) }) },
)
const past = fc
  .tuple(fc.array(add, { minLength: 8, maxLength: 8 }), fc.array(step, { minLength: 20, maxLength: 30 }))
  .map(([first, then]): Step[] => [...first, ...then])

async function addClinic(db: Db): Promise<void> {
  await addSmallClinic(db)
  for (const id of REFERRALS) await addReferral(db, { id })
  await db.execute(sql`insert into protocols select p.* from protocols t,
    jsonb_populate_record(t, '{"version": 2}') p where t.clinic_id = ${CLINIC}`)
}

const idOf = (nth: number) => `vis_${nth}`

/** Each in a minute of its own, because nobody can be in two places. */
async function addVisit(db: Db, n: number, { hour, referral, isDone, entries }: Step & { does: 'add' }): Promise<void> {
  const id = idOf(n)
  await db.execute(sql`
    insert into visits (clinic_id, id, referral_id, patient_id, clinician_id, session_id, mode, status, starts_at, ends_at,
      busy_from, busy_to, plan, patient_time_zone, calendar_uid, created_at, changed_at)
    select clinic_id, ${id}, id, patient_id, 'cli_ames', 'ses_ames_video', 'video', ${isDone ? 'done' : 'no_show'}::visit_status, s,
      s + interval '1 minute', s, s + interval '1 minute', '{"steps": [{"stationId": "calf", "wayId": "strap"}]}',
      'America/New_York', ${id}, s, s
    from referrals, (select ${`${FIRST}T00:00:00Z`}::timestamptz + ${60 * hour + n}::int * interval '1 minute' as s) t
    where clinic_id = ${CLINIC} and id = ${REFERRALS[referral]}`)
  await db.execute(
    sql`insert into visit_records (clinic_id, visit_id, began_at) values (${CLINIC}, ${id}, ${NOW}::timestamptz)`,
  )
  for (const { side, wayId, result } of entries)
    await db.execute(sql`
      insert into station_outcomes (clinic_id, visit_id, station_id, way_id, side, result, reason, recorded_by, recorded_at)
      values (${CLINIC}, ${id}, 'calf', ${wayId}, ${side}, ${result}, 'pain', 'stf_1', ${NOW}::timestamptz)`)
}

async function carryOut(db: Db, each: Step, n: number): Promise<void> {
  switch (each.does) {
    case 'add':
      return addVisit(db, n, each)
    case 'sign':
      await db.execute(sql`update visit_records set outcome = 'completed', ended_at = began_at, signed_by = 'stf_1',
        signed_at = began_at where clinic_id = ${CLINIC} and visit_id = ${idOf(each.visit)} and signed_at is null`)
      return
    case 'end':
    case 'miss':
      await db.execute(sql`update visits set status = ${each.does === 'end' ? 'done' : 'no_show'}::visit_status
        where clinic_id = ${CLINIC} and id = ${idOf(each.visit)}`)
      return
    case 'triage':
      await db.execute(sql`update referrals set protocol_version = ${each.version}
        where clinic_id = ${CLINIC} and id = ${REFERRALS[each.referral]}`)
      return
    case 'zone':
      await db.execute(sql`update clinics set time_zone = ${each.zone} where id = ${CLINIC}`)
      return
    case 'keep':
      await keepFigures(contextFor(db, { now: NOW, actor: { kind: 'system', clinicId: CLINIC, id: 'system' } }))
      return
    case 'count':
      return countDay(db, CLINIC, Temporal.PlainDate.from(FIRST).add({ days: each.day }).toString())
  }
}

/** Row by row, with dates by the calendar and not by the database. */
async function countPlainly(db: Db, timeZone: string, from: Temporal.PlainDate, to: Temporal.PlainDate) {
  const rows = await rawRows<{ at: string; line: string }>(
    db,
    sql`select to_char(v.starts_at at time zone 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS"Z"') as at,
        concat_ws(' ', r.protocol_version, o.way_id, o.result) as line
      from station_outcomes o join visits v on v.id = o.visit_id join referrals r on r.id = v.referral_id
        join visit_records s on s.visit_id = v.id
      where s.signed_at is not null and v.status = 'done' and o.way_id = 'strap'`,
  )
  const inside = rows.filter(({ at }) => {
    const date = Temporal.Instant.from(at).toZonedDateTimeISO(timeZone).toPlainDate()
    return Temporal.PlainDate.compare(date, from) >= 0 && Temporal.PlainDate.compare(date, to) <= 0
  })
  return [...Map.groupBy(inside, ({ line }) => line)].map(([line, of]) => `${line} ${of.length}`).sort()
}

async function countFromKept(db: Db, timeZone: string, from: Temporal.PlainDate, to: Temporal.PlainDate) {
  const startOf = (date: Temporal.PlainDate) => date.toZonedDateTime(timeZone).toInstant()
  const everybody = { clinicId: CLINIC, timeZone, clinicianId: null, conditionId: null }
  const tries = await countTries(db, { ...everybody, from: startOf(from), to: startOf(to.add({ days: 1 })) })
  const lines = Map.groupBy(tries, ({ protocolVersion, wayId, result }) => `${protocolVersion} ${wayId} ${result}`)
  return [...lines].map(([line, of]) => `${line} ${of.reduce((sum, { n }) => sum + n, 0)}`).sort()
}

test('whatever is signed, ended, triaged again or counted in between, every range counts as row by row', async () => {
  let kept = 0
  await fc.assert(
    fc.asyncProperty(past, async (steps) => {
      const { db } = await emptyDb()
      await addClinic(db)
      let added = 0
      let timeZone = ZONES[0] as string
      for (const each of steps) {
        await carryOut(db, each, added)
        if (each.does === 'add') added += 1
        if (each.does === 'zone') timeZone = each.zone
        const [{ n } = { n: 0 }] = await rawRows<{ n: number }>(db, sql`select count(*)::int as n from day_tries`)
        kept += n
        const first = Temporal.PlainDate.from(FIRST)
        for (const [from, to] of [
          [-1, DAYS],
          [1, 2],
          [2, 2],
        ] as const) {
          const range = [first.add({ days: from }), first.add({ days: to })] as const
          expect(await countFromKept(db, timeZone, ...range)).toEqual(await countPlainly(db, timeZone, ...range))
        }
      }
    }),
    { numRuns: 6, endOnFailure: true },
  )
  // Else nothing was ever read from what is kept, and the law would say nothing.
  expect(kept).toBeGreaterThan(0)
}, 120_000)

// One connection can't count while another one signs.
test.runIf(process.env.TEST_BACK_END === 'postgres')('who counts waits for whoever is signing', async () => {
  const other = await openDatabase({ databaseUrl: await newServerDb('counting'), dataDir: null })
  const { db } = other
  try {
    await addClinic(db)
    const entries: Entry[] = [{ side: 'left', wayId: 'strap', result: 'done' }]
    await addVisit(db, 0, { does: 'add', hour: 40, referral: 0, isDone: true, entries })
    const day = Temporal.PlainDate.from('2026-03-07')
    await countDay(db, CLINIC, day.toString())
    let counting: Promise<void> | undefined
    await db.transaction(async (tx) => {
      await carryOut(tx, { does: 'sign', visit: 0 }, 0)
      counting = countDay(db, CLINIC, day.toString())
      for (let isWaiting = false; !isWaiting; ) {
        const waiting = await rawRows(
          db,
          sql`select from pg_locks l join pg_database d on d.oid = l.database
            where d.datname = current_database() and l.locktype = 'advisory' and not l.granted`,
        )
        isWaiting = waiting.length > 0
      }
    })
    await counting
    expect(await rawRows(db, sql`select n from day_tries`)).toEqual([{ n: 1 }])
    expect(await countFromKept(db, 'America/New_York', day, day)).toEqual(['1 strap done 1'])
  } finally {
    await other.close()
  }
})
