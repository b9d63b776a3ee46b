/**
 * Whatever changes on a day of the board is told to whoever looks at that day, in every process, and to nobody else. Two
 * listeners of their own stand for two app processes.
 */
import { eq, sql } from 'drizzle-orm'
import { PgDialect } from 'drizzle-orm/pg-core'
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest'
import { type BoardChanges, listenForBoardChanges } from '#app/_server/board-changes.ts'
import { type Database, notify, rawRows } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { clinics, homeChecks, licences, patients, referrals, staff, visits } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import { confirmItem } from '#lib/usecases/confirm-item.ts'
import { moveVisit } from '#lib/usecases/move-visit.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, coordinator, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { answering, as } from '#tests/support/home-check.ts'
import { asking } from '#tests/support/starts.ts'

let database: Database
let processes: BoardChanges[]
let visitId: string

/** Tuesdays in New York, as the stream asks for them. */
const TUESDAY = dayOf('2026-03-03')
const NEXT_TUESDAY = dayOf('2026-03-10')

function dayOf(day: string) {
  const fromMs = Date.parse(`${day}T05:00:00Z`)
  return { clinicId: CLINIC, fromMs, toMs: fromMs + 24 * 3600_000 }
}

beforeEach(async () => {
  database = await emptyDb()
  const { db } = database
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  const booked = await bookVisit(contextFor(db), {
    key: 'book it once',
    referralId: 'ref_1',
    heldVisitId: null,
    start: asking('2026-03-03T14:00:00Z'),
  })
  if (!booked.ok) throw new Error(booked.error.code)
  visitId = booked.value.visitId
  processes = [await listenForBoardChanges(database), await listenForBoardChanges(database)]
  await settled()
})

afterEach(async () => {
  await Promise.all(processes.map((each) => each.close()))
})

/** Everything that was said until now has been heard: a word of our own comes last. */
async function settled(): Promise<void> {
  const heard = processes.map(
    (each) =>
      new Promise<void>((resolve) => {
        each.watch({ clinicId: 'cln_end', fromMs: 0, toMs: 1 }, Date.now() + 60_000, resolve, () => {})
      }),
  )
  await notify(database.db, 'board_changes', 'cln_end *')
  await Promise.all(heard)
}

/** How often each process tells somebody who looks at that day while the deed is done. */
async function told(day: ReturnType<typeof dayOf>, deed: () => Promise<unknown>): Promise<number[]> {
  const counts = processes.map(() => 0)
  const stops = processes.map((each, index) =>
    each.watch(
      day,
      Date.now() + 60_000,
      () => {
        counts[index] = (counts[index] ?? 0) + 1
      },
      () => {},
    ),
  )
  await deed()
  await settled()
  for (const stop of stops) stop()
  return counts
}

/** Ends the connections on which the processes listen. */
async function breakLines(): Promise<void> {
  await database.db.execute(sql`select pg_terminate_backend(pid) from pg_stat_activity
    where query ilike 'listen%board_changes%' and pid <> pg_backend_pid() and datname = current_database()`)
}

const sometimes = [expect.toSatisfy((n: number) => n > 0), expect.toSatisfy((n: number) => n > 0)]
const never = [0, 0]

describe('a change is told to whoever looks at the day', () => {
  const deeds: [string, () => Promise<unknown>][] = [
    [
      'the patient confirms the helper',
      () =>
        confirmItem(as(database.db, patientOf('ref_1')), {
          visitId,
          item: 'helper',
          state: 'confirmed',
        }),
    ],
    ['an answer closes stations', () => answering(database.db, 'ref_1', { not_weight_bearing: true })],
    [
      'the place is given',
      () =>
        database.db
          .update(homeChecks)
          .set({ contactName: 'Jo', contactPhone: '555-0101' })
          .where(eq(homeChecks.referralId, 'ref_1')),
    ],
    ['the image comes in', () => database.db.update(referrals).set({ imageReceived: true })],
    ['the patient is renamed', () => database.db.update(patients).set({ familyName: 'Renamed' })],
    ['something is done on the referral that stands nowhere else', () => recordAudit(database.db, tried)],
    ['a member of staff is renamed', () => database.db.update(staff).set({ name: 'Renamed' })],
    ['the clinic changes what it says of itself', () => database.db.update(clinics).set({ name: 'Renamed' })],
    ['a licence ends', () => database.db.update(licences).set({ validTo: '2026-03-02' })],
    [
      'the visit is cancelled',
      () =>
        cancelVisit(as(database.db, coordinator), {
          key: 'cancel it once',
          visitId,
          version: 1,
          because: 'The patient asked for it',
        }),
    ],
  ]
  test.each(deeds)('when %s', async (_what, deed) => {
    expect(await told(TUESDAY, deed)).toEqual(sometimes)
  })

  test('a visit that moves to another day is told on both', async () => {
    const move = (version: number, startsAt: string) => async () => {
      const key = `move it ${version}`
      const start = asking(startsAt)
      expect((await moveVisit(as(database.db, coordinator), { key, visitId, version, start })).ok).toBe(true)
    }
    expect(await told(TUESDAY, move(1, '2026-03-10T13:00:00Z'))).toEqual(sometimes)
    expect(await told(TUESDAY, move(2, '2026-03-03T14:00:00Z'))).toEqual(sometimes)
  })
})

const tried = {
  id: 'aud_tried',
  at: Temporal.Instant.from('2026-03-02T15:00:00Z'),
  actor: coordinator,
  action: 'call.tried',
  subject: 'ref_1',
  referralId: 'ref_1',
}

test('every table that a board is read from tells of its changes', async () => {
  // Written anew, its queries pass by here.
  vi.resetModules()
  const written = vi.spyOn(PgDialect.prototype, 'sqlToQuery')
  const { readBoard, readBoardInput } = await import('#lib/usecases/read-board.ts')
  const read = await readBoard(contextFor(database.db), readBoardInput.parse({ day: '2026-03-03' }))
  const queries = written.mock.results.map(({ value }) => value.sql).join('\n')
  written.mockRestore()
  expect(read.ok && read.value.visits).toHaveLength(1)
  const tablesRead = new Set(queries.match(/(?<=\b(from|join) "?)[a-z_]+\b/g))
  const telling = await rawRows<{ name: string }>(
    database.db,
    sql`select distinct tgrelid::regclass::text as name from pg_trigger t join pg_proc p on p.oid = t.tgfoid
      where p.proname like 'farstep_say_%'`,
  )
  const tables = await rawRows<{ name: string }>(
    database.db,
    sql`select tablename as name from pg_tables where schemaname = 'public' order by 1`,
  )
  const silent = tables.filter(({ name }) => tablesRead.has(name) && !telling.some((each) => each.name === name))
  // A screening and a protocol that is in force never change; holidays are read with the clinic, and not shown.
  expect(silent.map(({ name }) => name)).toEqual(['assessments', 'holidays', 'protocols'])
})

describe('how a clinic stands', () => {
  const standing = (n = 0) => processes[n]?.standing(CLINIC)

  test('is the same while nothing changes, and for another clinic', async () => {
    const before = await standing()
    const other = await processes[0]?.standing('cln_2')
    expect(before).not.toBeNull()
    expect(await standing()).toBe(before)
    await database.db.update(patients).set({ familyName: 'Renamed' })
    expect(await processes[0]?.standing('cln_2')).toBe(other)
  })

  test('is another one in every process as soon as a change is written, each time', async () => {
    for (let n = 0; n < 30; n += 1) {
      const before = await Promise.all([standing(0), standing(1)])
      await database.db.update(patients).set({ familyName: `Renamed ${n}` })
      const after = await Promise.all([standing(0), standing(1)])
      for (const [at, each] of after.entries()) expect(each).not.toBe(before[at])
    }
  })

  test('cannot be told where the process does not listen any more', async () => {
    await processes[0]?.close()
    expect(await standing()).toBeNull()
  })

  // Only a server has connections that can break.
  test.runIf(process.env.TEST_BACK_END === 'postgres')('is not the same after a break', async () => {
    const before = await standing()
    await breakLines()
    expect(await standing()).not.toBe(before)
  })
})

describe('nobody else is told', () => {
  test('neither another day nor another clinic', async () => {
    const confirm = () =>
      confirmItem(as(database.db, patientOf('ref_1')), {
        visitId,
        item: 'helper',
        state: 'confirmed',
      })
    expect(await told(NEXT_TUESDAY, confirm)).toEqual(never)
    expect(await told({ ...TUESDAY, clinicId: 'cln_2' }, confirm)).toEqual(never)
  })

  test('what is undone was never said', async () => {
    const undone = () =>
      database.db
        .transaction(async (tx) => {
          await tx.update(visits).set({ version: 9 })
          throw new Error('undo')
        })
        .catch(() => {})
    expect(await told(TUESDAY, undone)).toEqual(never)
  })

  test('what is said holds no name, address or phone', async () => {
    const said: string[] = []
    const stop = await database.listen('board_changes', (payload) => said.push(payload))
    await database.db.update(patients).set({ familyName: 'Secret' })
    await settled()
    await stop()
    expect(said.filter((payload) => !payload.startsWith('cln_end'))).toEqual([
      `${CLINIC} ${TUESDAY.fromMs / 1000 + 9 * 3600}`,
    ])
  })
})

describe('nobody misses anything', () => {
  test('who comes a moment late is told at once of what was said since their page was read', async () => {
    const readAt = Date.now()
    await database.db.update(patients).set({ familyName: 'Renamed' })
    await settled()
    let times = 0
    processes[0]?.watch(
      TUESDAY,
      readAt,
      () => {
        times += 1
      },
      () => {},
    )
    expect(times).toBe(1)
    processes[0]?.watch(
      NEXT_TUESDAY,
      readAt,
      () => {
        times += 1
      },
      () => {},
    )
    expect(times).toBe(1)
  })

  test('who was away for longer than is remembered is told to look again', () => {
    let times = 0
    processes[0]?.watch(
      TUESDAY,
      Date.now() - 3600_000,
      () => {
        times += 1
      },
      () => {},
    )
    expect(times).toBe(1)
  })

  // Only a server has connections that can break.
  test.runIf(process.env.TEST_BACK_END === 'postgres')('after a break everybody looks again', async () => {
    const looked = new Promise<void>((resolve) => {
      processes[0]?.watch(TUESDAY, Date.now() + 60_000, resolve, () => {})
    })
    await breakLines()
    await looked
  })

  test('a process that stops ends every stream, and takes no new one', async () => {
    let ended = 0
    processes[0]?.watch(
      TUESDAY,
      Date.now(),
      () => {},
      () => {
        ended += 1
      },
    )
    await processes[0]?.close()
    processes[0]?.watch(
      TUESDAY,
      Date.now(),
      () => {},
      () => {
        ended += 1
      },
    )
    expect(ended).toBe(2)
  })
})
