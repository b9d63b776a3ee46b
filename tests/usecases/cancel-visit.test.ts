import { eq } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, messages, referrals, visits } from '#db/schema/index.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { type CancelVisitInput, cancelVisit } from '#lib/usecases/cancel-visit.ts'
import { addReferral, addSmallClinic, contextFor, coordinator, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'

let db: Db
let visitId: string

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  await addReferral(db, { id: 'ref_2' })
  const start = asking('2026-03-03T14:00:00Z')
  const ctx = contextFor(db, { ids: 'a' })
  const booked = await bookVisit(ctx, { key: 'book ref_1', referralId: 'ref_1', heldVisitId: null, start })
  if (!booked.ok) throw new Error(booked.error.code)
  visitId = booked.value.visitId
})

const cancel = (change: Partial<CancelVisitInput> = {}): CancelVisitInput => ({
  key: 'cancel ref_1',
  visitId,
  version: 1,
  because: 'The patient is away',
  ...change,
})

test('the time is free at once, the patient is told, and the referral is looked after again', async () => {
  expect(await cancelVisit(contextFor(db), cancel())).toEqual({ ok: true, value: { visitId, referralId: 'ref_1' } })
  expect(await db.select().from(visits)).toMatchObject([
    { status: 'cancelled', cancelledBecause: 'The patient is away', calendarSequence: 1 },
  ])
  expect((await db.select().from(messages)).map((message) => message.kind)).toContain('cancelled')
  expect(await db.select({ stage: referrals.stage }).from(referrals).where(eq(referrals.id, 'ref_1'))).toEqual([
    { stage: 'screened' },
  ])
  const lines = await db.select().from(auditEvents).where(eq(auditEvents.action, 'visit.cancelled'))
  expect(lines).toMatchObject([{ subject: visitId, after: { because: 'The patient is away' } }])
  const start = asking('2026-03-03T14:00:00Z')
  const other = contextFor(db, { ids: 'b' })
  expect((await bookVisit(other, { key: 'book ref_2', referralId: 'ref_2', heldVisitId: null, start })).ok).toBe(true)
})

test('sent twice it cancels once', async () => {
  const ctx = contextFor(db)
  const first = await cancelVisit(ctx, cancel())
  expect(await cancelVisit(ctx, cancel())).toEqual(first)
  expect((await db.select().from(messages)).filter((message) => message.kind === 'cancelled')).toHaveLength(1)
})

test('a form that was opened before the visit changed is refused', async () => {
  expect(await cancelVisit(contextFor(db), cancel({ version: 7 }))).toEqual({
    ok: false,
    error: { code: 'changed_meanwhile' },
  })
})

test('a patient cancels their own visit until a day before, then has to call', async () => {
  const actor = patientOf('ref_1')
  const late = contextFor(db, { actor, now: '2026-03-02T14:00:01Z' })
  expect(await cancelVisit(late, cancel())).toEqual({ ok: false, error: { code: 'too_late' } })
  expect((await cancelVisit(contextFor(db, { actor }), cancel())).ok).toBe(true)
})

// Safety: a stop holds bookings back; it must not hold anybody to a visit.
test('a visit can be cancelled while the referral is stopped', async () => {
  await db.update(referrals).set({ isStopped: true }).where(eq(referrals.id, 'ref_1'))
  expect((await cancelVisit(contextFor(db), cancel())).ok).toBe(true)
})

test('a clinician cancels visits of their own list only', async () => {
  const clinician = { ...coordinator, role: 'clinician' as const }
  const other = contextFor(db, { actor: { ...clinician, id: 'stf_2', clinicianId: 'cli_boyd' } })
  expect(await cancelVisit(other, cancel())).toEqual({ ok: false, error: { code: 'visit_not_found' } })
  const own = contextFor(db, { actor: { ...clinician, id: 'stf_3', clinicianId: 'cli_ames' } })
  expect((await cancelVisit(own, cancel())).ok).toBe(true)
})
