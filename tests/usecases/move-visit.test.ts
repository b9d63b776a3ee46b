import { eq } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, messages, packets, visits } from '#db/schema/index.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { type MoveVisitInput, moveVisit } from '#lib/usecases/move-visit.ts'
import { addReferral, addSmallClinic, contextFor, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

let db: Db
let visitId: string

const NINE = '2026-03-03T14:00:00Z'
/** Tuesday 10 March: New York is on summer time since the 8th. */
const NEXT_WEEK = '2026-03-10T13:00:00Z'

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  await addReferral(db, { id: 'ref_2' })
  const ctx = contextFor(db, { ids: 'a' })
  const booked = await bookVisit(ctx, {
    key: 'book ref_1',
    referralId: 'ref_1',
    heldVisitId: null,
    start: asking(NINE),
  })
  if (!booked.ok) throw new Error(booked.error.code)
  visitId = booked.value.visitId
})

const move = (change: Partial<MoveVisitInput> = {}): MoveVisitInput => ({
  key: 'move ref_1',
  visitId,
  version: 1,
  start: asking(NEXT_WEEK),
  ...change,
})
const row = async () => (await db.select().from(visits).where(eq(visits.id, visitId)))[0]

test('the same visit gets its new time: calendar entry kept, sequence risen, a new packet and new messages', async () => {
  const before = await row()
  expect(await moveVisit(contextFor(db), move())).toEqual({
    ok: true,
    value: { visitId, startsAt: NEXT_WEEK, mode: 'video' },
  })
  // RFC 5546 section 2.1.4: SEQUENCE rises when the time changes; UID stays.
  expect(await row()).toMatchObject({
    calendarUid: before?.calendarUid,
    calendarSequence: 1,
    version: 2,
    status: 'booked',
  })
  expect((await db.select().from(packets)).map((packet) => packet.revision).sort()).toEqual([1, 2])
  const queued = (await db.select().from(messages)).filter((message) => message.id.startsWith('msg_stf_1_'))
  expect(queued.map((message) => message.kind).sort()).toEqual(['day_before', 'hour_before', 'moved', 'still_missing'])
  const lines = await db.select().from(auditEvents).where(eq(auditEvents.action, 'visit.moved'))
  expect(lines).toMatchObject([{ subject: visitId, before: { startsAt: NINE }, after: { startsAt: NEXT_WEEK } }])
})

test('the old time is free in the same moment', async () => {
  await moveVisit(contextFor(db), move())
  const ctx = contextFor(db, { ids: 'b' })
  expect(
    (await bookVisit(ctx, { key: 'book ref_2', referralId: 'ref_2', heldVisitId: null, start: asking(NINE) })).ok,
  ).toBe(true)
})

test('a visit can be moved by less than its own length', async () => {
  const start = asking('2026-03-03T14:15:00Z')
  expect((await moveVisit(contextFor(db), move({ start }))).ok).toBe(true)
})

test('a time that somebody else has is refused with the next best, and the visit stays where it was', async () => {
  const other = contextFor(db, { ids: 'b' })
  await holdStart(other, { key: 'hold ref_2', referralId: 'ref_2', start: asking(NEXT_WEEK) })
  const result = await moveVisit(contextFor(db), move())
  // Its own old time is among what it can have.
  expect(result).toMatchObject({
    ok: false,
    error: { code: 'start_taken', next: [{ startsAt: NINE }, {}, {}, {}, {}, {}] },
  })
  expect(await row()).toMatchObject({ version: 1, calendarSequence: 0 })
})

test('sent twice it moves once', async () => {
  const ctx = contextFor(db)
  const first = await moveVisit(ctx, move())
  expect(await moveVisit(ctx, move())).toEqual(first)
  expect(await row()).toMatchObject({ calendarSequence: 1 })
})

test('a form that was opened before the visit changed is refused', async () => {
  const ctx = contextFor(db)
  await moveVisit(ctx, move())
  const stale = move({ key: 'stale form', start: asking('2026-03-17T13:00:00Z') })
  expect(await moveVisit(ctx, stale)).toEqual({ ok: false, error: { code: 'changed_meanwhile' } })
})

test('a patient moves their own visit until a day before, then has to call', async () => {
  const actor = patientOf('ref_1')
  // 24 hours before 14:00Z on the 3rd; the cut-off itself still counts.
  const late = contextFor(db, { actor, now: '2026-03-02T14:00:01Z' })
  expect(await moveVisit(late, move())).toEqual({ ok: false, error: { code: 'too_late' } })
  const inTime = contextFor(db, { actor, now: '2026-03-02T14:00:00Z' })
  expect((await moveVisit(inTime, move())).ok).toBe(true)
})

test('a visit by video can become one at the clinic', async () => {
  const start = askingInPerson('2026-03-05T18:00:00Z')
  expect((await moveVisit(contextFor(db), move({ start }))).ok).toBe(true)
  expect(await row()).toMatchObject({ mode: 'in_person', plan: null, roomId: 'roo_1', clinicianId: 'cli_ames' })
})

test('an early look and the visit in person never take each other’s place', async () => {
  await addReferral(db, { id: 'ref_3', conditionId: 'achilles_rupture' })
  const ctx = contextFor(db)
  const inPerson = askingInPerson('2026-03-05T18:00:00Z', {
    released: ['after_see_by'],
    because: 'The patient is away until then',
  })
  const booked = await bookVisit(ctx, { key: 'book ref_3', referralId: 'ref_3', heldVisitId: null, start: inPerson })
  const id = booked.ok ? booked.value.visitId : ''
  const start = asking('2026-03-03T15:00:00Z')
  expect(await moveVisit(ctx, move({ visitId: id, start }))).toEqual({ ok: false, error: { code: 'mode_not_offered' } })
})

test('somebody else’s visit looks the same as a missing one, and a clinician moves none', async () => {
  const missing = { ok: false, error: { code: 'visit_not_found' } }
  const asOther = contextFor(db, { actor: patientOf('ref_2') })
  expect(await moveVisit(asOther, move())).toEqual(missing)
  expect(await moveVisit(asOther, move({ visitId: 'vis_none' }))).toEqual(missing)
})
