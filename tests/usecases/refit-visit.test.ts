/** A booked visit follows what changes at home: its packet at once, and a person where it no longer fits. */
import { and, desc, eq, isNull } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { messages, packets, tasks, visits } from '#db/schema/index.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { type HomeDetailsInput, saveHomeDetails } from '#lib/usecases/save-home-details.ts'
import { addReferral, addSmallClinic, coordinator, goodHome, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { answering, as } from '#tests/support/home-check.ts'
import { asking } from '#tests/support/starts.ts'

/** Tuesday 3 March 2026, 09:00 in New York. */
const NINE = '2026-03-03T14:00:00Z'
let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
})

async function booked(options: Parameters<typeof addReferral>[1]): Promise<void> {
  await addReferral(db, options)
  const start = asking(NINE)
  const done = await bookVisit(as(db, coordinator), { key: 'book', referralId: options.id, heldVisitId: null, start })
  if (!done.ok) throw new Error(done.error.code)
}

const visit = async () => {
  const [row] = await db.select().from(visits)
  if (!row) throw new Error('no visit')
  return { ...row, stations: (row.plan as ExamPlan | null)?.steps.map(({ stationId }) => stationId) ?? [] }
}
const newestPacket = async () => {
  const [row] = await db.select().from(packets).orderBy(desc(packets.revision)).limit(1)
  return row
}
const replans = () =>
  db
    .select()
    .from(tasks)
    .where(and(eq(tasks.kind, 'replan'), isNull(tasks.doneAt)))
const details = (input: unknown) => saveHomeDetails(as(db, patientOf('ref_1')), 'ref_1', input as HomeDetailsInput)
const HOME = { step: 'place', placeAddress: '3 Any Street', placeState: 'NY', timeZone: 'America/New_York' }
const TIMES = { step: 'times', days: [], parts: [], helperName: '', helperDays: [], helperParts: [] }

// Safety guarantee: nobody prepares for a station that is no longer safe for them.
test('a station that is no longer safe leaves plan and packet at once, and the patient is told', async () => {
  await booked({ id: 'ref_1' })
  const before = await visit()
  expect(before.stations).toContain('walk')
  await answering(db, 'ref_1', { not_weight_bearing: true })
  const after = await visit()
  expect(after.stations).not.toContain('walk')
  expect(after.stations.length).toBeLessThan(before.stations.length)
  const packet = await newestPacket()
  if (!packet) throw new Error('no packet')
  expect(packet.revision).toBe(2)
  const { setUps } = packet.content as { setUps: unknown[] }
  expect(setUps.length).toBeGreaterThan(0)
  expect(JSON.stringify(setUps)).not.toContain('"walk"')
  const sent = await db.select().from(messages).where(eq(messages.kind, 'packet_changed'))
  expect(sent).toHaveLength(1)
})

test('a visit that can no longer be by video opens one task, and the visit itself stands until a person decides', async () => {
  await booked({ id: 'ref_1' })
  await answering(db, 'ref_1', { has_camera: false })
  await answering(db, 'ref_1', { bright_light: false })
  expect(await replans()).toMatchObject([{ referralId: 'ref_1', detail: { reasons: ['not_by_video'] } }])
  expect(await visit()).toMatchObject({ status: 'booked' })
})

test('the task goes by itself when the visit fits again', async () => {
  await booked({ id: 'ref_1' })
  await answering(db, 'ref_1', { has_camera: false })
  expect(await replans()).toHaveLength(1)
  await answering(db, 'ref_1', { has_camera: true })
  expect(await replans()).toEqual([])
})

test('being in another state than the clinician’s licence is for opens a task', async () => {
  await booked({ id: 'ref_1' })
  await details({ ...HOME, placeState: 'NJ' })
  expect(await replans()).toMatchObject([{ detail: { reasons: ['no_licence'] } }])
  expect(await visit()).toMatchObject({ placeState: 'NJ' })
  await details(HOME)
  expect(await replans()).toEqual([])
})

test('a helper who is free at other hours only, or a patient who is, opens a task', async () => {
  await booked({ id: 'ref_1' })
  await details({ ...TIMES, helperName: 'Max', helperDays: [3], helperParts: [] })
  expect(await replans()).toMatchObject([{ detail: { reasons: ['helper_not_free'] } }])
  await details({ ...TIMES, days: [4] })
  expect(await replans()).toMatchObject([{ detail: { reasons: ['patient_not_free'] } }])
})

test('what becomes possible after booking is never squeezed into the minutes that were booked', async () => {
  const { helper: _, helper_strong: __, ...alone } = goodHome()
  await booked({ id: 'ref_1', conditionId: 'flat_foot', answers: { ...alone, helper: false, strap: false } })
  const before = await visit()
  await answering(db, 'ref_1', { helper: true, helper_strong: true, strap: true })
  const after = await visit()
  const minutes = (row: typeof after) => row.startsAt.until(row.endsAt).total('minutes')
  expect(minutes(after)).toBe(minutes(before))
  expect((after.plan as ExamPlan).visitMin).toBeLessThanOrEqual(minutes(after))
})

test('an answer that changes nothing for the visit sends nothing', async () => {
  await booked({ id: 'ref_1' })
  const before = await newestPacket()
  await answering(db, 'ref_1', { worries_falling: false })
  await details(HOME)
  expect(await newestPacket()).toEqual(before)
  expect(await replans()).toEqual([])
  expect(await db.select().from(messages).where(eq(messages.kind, 'packet_changed'))).toEqual([])
})
