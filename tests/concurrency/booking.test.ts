/**
 * Several processes on one PostgreSQL server want the same start. Nothing in any process's memory keeps them apart: the
 * exclusion constraints do (PostgreSQL manual, CREATE TABLE, EXCLUDE: of any two rows at least one comparison is false).
 */
import { sql } from 'drizzle-orm'
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest'
import { type Database, openDatabase, rawRows } from '#db/client.ts'
import { auditEvents, messages, visits } from '#db/schema/index.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { linesOf, startChild } from '#tests/soak/child.ts'
import { addReferral, addSmallClinic, contextFor } from '#tests/support/clinic.ts'
import { newServerDb, resetDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'
import type { Race } from './racer.ts'

const PROCESSES = 4
const EACH = 4
const NINE = '2026-03-03T14:00:00Z'

let url: string
let database: Database

beforeAll(async () => {
  url = await newServerDb('race')
  database = await openDatabase({ databaseUrl: url, dataDir: null })
})

afterAll(async () => {
  await database?.close()
})

beforeEach(async () => {
  await resetDb(database)
  await addSmallClinic(database.db)
  for (const id of allIds()) await addReferral(database.db, { id })
})

const idsOf = (racer: number) => Array.from({ length: EACH }, (_, n) => `ref_${racer}_${n}`)
const allIds = () => Array.from({ length: PROCESSES }, (_, racer) => idsOf(racer)).flat()

/** Starts the processes, waits until all are ready, and lets them go at once. */
async function raceFor(way: 'book' | 'hold'): Promise<Race[]> {
  const racers = Array.from({ length: PROCESSES }, (_, racer) => {
    const file = new URL('racer.ts', import.meta.url).pathname
    return startChild(file, [url, way, NINE, ...idsOf(racer)])
  })
  const heard = racers.map(linesOf)
  await Promise.all(heard.map((lines) => lines.next()))
  for (const racer of racers) racer.stdin?.end('go\n')
  const results = await Promise.all(
    heard.map(async (lines) => JSON.parse((await lines.next()).value ?? '[]') as Race[]),
  )
  return results.flat()
}

/** Pairs of live visits that overlap, asked of the rows themselves and not of the constraint. */
async function overlaps(): Promise<number> {
  const [row] = await rawRows<{ pairs: number }>(
    database.db,
    sql`select count(*)::int as pairs from visits a join visits b
        on a.clinic_id = b.clinic_id and a.clinician_id = b.clinician_id and a.id < b.id
        and a.busy_from < b.busy_to and b.busy_from < a.busy_to
        where a.status in ('held', 'booked') and b.status in ('held', 'booked')`,
  )
  return row?.pairs ?? -1
}

test('of sixteen who want one start exactly one gets it, and every other is told and finds the next best', async () => {
  const races = await raceFor('book')
  const firstTries = races.map((race) => race.tries[0]?.outcome)
  expect(firstTries.filter((outcome) => outcome === 'won')).toHaveLength(1)
  expect(firstTries.filter((outcome) => outcome === 'start_taken')).toHaveLength(PROCESSES * EACH - 1)
  // 24 visits fit before the see-by time; everybody ends with one.
  expect(races.map((race) => race.tries.at(-1)?.outcome)).toEqual(races.map(() => 'won'))

  const booked = await database.db.select().from(visits)
  expect(booked.map((visit) => visit.referralId).sort()).toEqual(allIds().sort())
  expect(await overlaps()).toBe(0)
  // Each deed has its line and its mail, and no refused attempt left anything behind.
  const lines = (await database.db.select().from(auditEvents)).filter((line) => line.action === 'visit.booked')
  expect(lines.map((line) => line.subject).sort()).toEqual(booked.map((visit) => visit.id).sort())
  const packets = (await database.db.select().from(messages)).filter((message) => message.kind === 'packet')
  expect(packets.map((message) => message.visitId).sort()).toEqual(booked.map((visit) => visit.id).sort())
}, 90_000)

test('of sixteen who want to take over a hold that ran out exactly one gets it', async () => {
  await addReferral(database.db, { id: 'ref_slow' })
  const early = contextFor(database.db, { now: '2026-03-02T12:00:00Z', ids: '_slow' })
  expect((await holdStart(early, { key: 'slow hold', referralId: 'ref_slow', start: asking(NINE) })).ok).toBe(true)

  const races = await raceFor('hold')
  expect(races.filter((race) => race.tries[0]?.outcome === 'won')).toHaveLength(1)
  const rows = await database.db.select().from(visits)
  expect(rows.filter((visit) => visit.referralId === 'ref_slow').map((visit) => visit.status)).toEqual(['lapsed'])
  expect(rows.filter((visit) => visit.status === 'held')).toHaveLength(PROCESSES * EACH)
  expect(await overlaps()).toBe(0)
}, 90_000)
