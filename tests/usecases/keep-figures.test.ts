import { and, eq } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { readinessKept, visits, waitsKept } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { confirmItem } from '#lib/usecases/confirm-item.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { keepFigures } from '#lib/usecases/keep-figures.ts'
import { moveVisit } from '#lib/usecases/move-visit.ts'
import { readWaits } from '#lib/usecases/read-waits.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'

let db: Db
let visitId: string

/** Tuesday 3 March 2026, 09:00 in New York; it is Monday, 08:00. */
const START = '2026-03-03T14:00:00Z'

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  const ask = { key: 'book', referralId: 'ref_1', heldVisitId: null, start: asking(START) }
  const booked = await bookVisit(contextFor(db), ask)
  if (!booked.ok) throw new Error(booked.error.code)
  visitId = booked.value.visitId
})

const system = (now: string): Ctx =>
  contextFor(db, { actor: { kind: 'system', clinicId: CLINIC, id: 'system' }, now, ids: now })
const keptRows = () => db.select().from(readinessKept)

test('nothing is written down before the day before the visit', async () => {
  await keepFigures(system('2026-03-02T13:59:00Z'))
  expect(await keptRows()).toEqual([])
})

test('a day before, what is still open is written down, and stays as it was then', async () => {
  await keepFigures(system('2026-03-02T14:05:00Z'))
  const asPatient = contextFor(db, { actor: patientOf('ref_1'), now: '2026-03-02T15:00:00Z' })
  await confirmItem(asPatient, { visitId, item: 'helper', state: 'confirmed' })
  await keepFigures(system('2026-03-02T16:00:00Z'))
  const [row, ...others] = await keptRows()
  expect(others).toEqual([])
  expect(row).toMatchObject({ visitId, worst: 'late' })
  expect(row?.openItems).toEqual(['equipment', 'helper', 'packet_opened', 'place_and_contact'])
  expect(row?.takenAt.toString()).toBe('2026-03-02T14:05:00Z')
  await expect(
    db.update(readinessKept).set({ worst: 'done' }).where(eq(readinessKept.visitId, visitId)),
  ).rejects.toThrow()
})

test('a visit that was moved has a line for its new start', async () => {
  await keepFigures(system('2026-03-02T14:05:00Z'))
  const [{ version = 0 } = {}] = await db.select({ version: visits.version }).from(visits).where(eq(visits.id, visitId))
  const to = asking('2026-03-10T13:00:00Z')
  const moved = await moveVisit(contextFor(db, { ids: 'move' }), { key: 'move', visitId, version, start: to })
  expect(moved.ok).toBe(true)
  await keepFigures(system('2026-03-09T13:01:00Z'))
  expect((await keptRows()).map(({ forStartsAt }) => forStartsAt.toString()).toSorted()).toEqual([
    START,
    '2026-03-10T13:00:00Z',
  ])
})

test('the waits of a day are kept once, from the opening on, and say what the page said', async () => {
  // 07:59 in New York.
  await keepFigures(system('2026-03-02T12:59:00Z'))
  expect(await db.select().from(waitsKept)).toEqual([])
  const shown = await readWaits(contextFor(db))
  await keepFigures(system('2026-03-02T13:00:00Z'))
  await keepFigures(system('2026-03-02T19:00:00Z'))
  const rows = await db
    .select()
    .from(waitsKept)
    .where(and(eq(waitsKept.clinicId, CLINIC), eq(waitsKept.onDate, '2026-03-02')))
  const pairs = (list: readonly { clinicianId: string; mode: string; days: number | null }[]) =>
    list.map(({ clinicianId, mode, days }) => `${clinicianId} ${mode} ${days}`).toSorted()
  expect(pairs(rows)).toEqual(
    pairs(shown.ok ? shown.value.lines.map((line) => ({ ...line, days: line.third?.days ?? null })) : []),
  )
  expect(rows).toHaveLength(4)
  await keepFigures(system('2026-03-03T13:00:00Z'))
  expect(await db.select().from(waitsKept)).toHaveLength(8)
})

test('a figure that was never possible is refused by the database', async () => {
  const at = Temporal.Instant.from(START)
  const line = { clinicId: CLINIC, visitId, worst: 'done', openItems: [] } as const
  await expect(
    db.insert(readinessKept).values({ ...line, openItems: [], forStartsAt: at, takenAt: at }),
  ).rejects.toThrow()
})
