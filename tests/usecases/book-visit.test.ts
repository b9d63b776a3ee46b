import { and, eq, isNull } from 'drizzle-orm'
import { beforeEach, describe, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import {
  answers,
  auditEvents,
  clinicSessions,
  clinics,
  holidays,
  messages,
  packets,
  referrals,
  tasks,
  visits,
} from '#db/schema/index.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { type BookVisitInput, bookVisit } from '#lib/usecases/book-visit.ts'
import { findStarts } from '#lib/usecases/find-starts.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'
import {
  addReferral,
  addSmallClinic,
  CLINIC,
  contextFor,
  goodHome,
  patientOf,
  screenAgain,
} from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking, askingInPerson } from '#tests/support/starts.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  await addReferral(db, { id: 'ref_2' })
})

const NINE = '2026-03-03T14:00:00Z'
const book = (referralId: string, change: Partial<BookVisitInput> = {}): BookVisitInput => ({
  key: `book ${referralId}`,
  referralId,
  heldVisitId: null,
  start: asking(NINE),
  ...change,
})
const heldBy = async (referralId: string, now?: string, actor = contextFor(db, now ? { now } : {})) => {
  const held = await holdStart(actor, { key: `hold ${referralId}`, referralId, start: asking(NINE) })
  if (!held.ok) throw new Error(held.error.code)
  return held.value.visitId
}

test('a held start is booked with its packet, its messages, its audit line and its stage, all at once', async () => {
  const visitId = await heldBy('ref_1')
  const result = await bookVisit(contextFor(db, { ids: 'b' }), book('ref_1', { heldVisitId: visitId }))
  expect(result).toEqual({ ok: true, value: { visitId, startsAt: NINE, mode: 'video' } })
  expect(await db.select().from(visits)).toMatchObject([
    {
      status: 'booked',
      holdExpiresAt: null,
      heldBy: null,
      calendarSequence: 0,
      placeState: 'NY',
      plan: { visitMin: 45 },
    },
  ])
  expect(await db.select().from(packets)).toMatchObject([{ visitId, revision: 1 }])
  // Tomorrow at 09:00 New York: the packet now; "the day before at ten" is today at ten; an hour before.
  const queued = await db.select().from(messages).orderBy(messages.dueAt)
  expect(queued.map((message) => `${message.kind} ${message.dueAt} ${message.status}`)).toEqual([
    'packet 2026-03-02T13:00:00Z queued',
    'day_before 2026-03-02T15:00:00Z queued',
    'hour_before 2026-03-03T13:00:00Z queued',
  ])
  const lines = await db.select().from(auditEvents).where(eq(auditEvents.action, 'visit.booked'))
  expect(lines).toMatchObject([{ subject: visitId, referralId: 'ref_1', actorId: 'stf_1' }])
  expect(await db.select({ stage: referrals.stage }).from(referrals).where(eq(referrals.id, 'ref_1'))).toEqual([
    { stage: 'booked' },
  ])
})

test('staff book a start directly, without a hold', async () => {
  expect((await bookVisit(contextFor(db), book('ref_1'))).ok).toBe(true)
  expect(await db.select().from(visits)).toMatchObject([{ status: 'booked', startsAt: expect.anything() }])
})

test('in person there is no packet, and the mail says where to come', async () => {
  const input = book('ref_1', { start: askingInPerson('2026-03-05T18:00:00Z') })
  expect((await bookVisit(contextFor(db), input)).ok).toBe(true)
  expect(await db.select().from(packets)).toEqual([])
  const kinds = (await db.select().from(messages)).map((message) => message.kind).sort()
  expect(kinds).toEqual(['day_before', 'in_person_booked'])
})

test('the form sent twice books once: one visit, one packet, one set of messages', async () => {
  const ctx = contextFor(db)
  const first = await bookVisit(ctx, book('ref_1'))
  expect(await bookVisit(ctx, book('ref_1'))).toEqual(first)
  expect(await db.select().from(visits)).toHaveLength(1)
  expect(await db.select().from(messages)).toHaveLength(3)
  expect(await db.select().from(auditEvents).where(eq(auditEvents.action, 'visit.booked'))).toHaveLength(1)
})

test('the second to book a start is told so with the next best, and nothing of the attempt remains', async () => {
  await bookVisit(contextFor(db), book('ref_1'))
  const result = await bookVisit(contextFor(db, { ids: 'b' }), book('ref_2'))
  expect(result).toMatchObject({
    ok: false,
    error: { code: 'start_taken', next: [{ startsAt: '2026-03-03T14:45:00Z' }, {}, {}, {}, {}, {}] },
  })
  expect(await db.select().from(visits)).toHaveLength(1)
  expect(await db.select().from(messages).where(eq(messages.referralId, 'ref_2'))).toEqual([])
})

test('a hold that ran out is still good while nobody wanted its time', async () => {
  const visitId = await heldBy('ref_1')
  const late = contextFor(db, { now: '2026-03-02T14:00:00Z', ids: 'b' })
  expect((await bookVisit(late, book('ref_1', { heldVisitId: visitId }))).ok).toBe(true)
})

test('a hold that ran out and was taken by somebody else is gone', async () => {
  const visitId = await heldBy('ref_1')
  const late = contextFor(db, { now: '2026-03-02T14:00:00Z', ids: 'b' })
  expect((await bookVisit(late, book('ref_2'))).ok).toBe(true)
  expect(await bookVisit(late, book('ref_1', { heldVisitId: visitId }))).toMatchObject({
    ok: false,
    error: { code: 'hold_gone', next: [{ startsAt: '2026-03-03T14:45:00Z' }, {}, {}, {}, {}, {}] },
  })
})

test('a hold keeps the notice that it was made with', async () => {
  // Two hours' notice: held at 06:55, booked at 07:04 for 09:00.
  const visitId = await heldBy('ref_1', '2026-03-03T11:55:00Z')
  const ctx = contextFor(db, { now: '2026-03-03T12:04:00Z', ids: 'b' })
  expect((await bookVisit(ctx, book('ref_1', { heldVisitId: visitId }))).ok).toBe(true)
})

// Safety: what was decided between hold and booking counts.
test('a start held for video is not booked once the patient has to be seen in person', async () => {
  const visitId = await heldBy('ref_1')
  await db
    .update(answers)
    .set({ value: false })
    .where(and(eq(answers.referralId, 'ref_1'), eq(answers.factId, 'accepts_video')))
  await screenAgain(db, 'ref_1', '2026-03-02T13:05:00Z')
  const ctx = contextFor(db, { now: '2026-03-02T13:06:00Z', ids: 'b' })
  expect(await bookVisit(ctx, book('ref_1', { heldVisitId: visitId }))).toEqual({
    ok: false,
    error: { code: 'mode_not_offered' },
  })
})

test('one referral has one visit: another start is a move', async () => {
  const ctx = contextFor(db)
  await bookVisit(ctx, book('ref_1'))
  const again = book('ref_1', { key: 'once more', start: asking('2026-03-10T13:00:00Z') })
  expect(await bookVisit(ctx, again)).toEqual({ ok: false, error: { code: 'already_booked' } })
})

// Safety: nobody is seen later than they must be because of one click too many.
test('a start after the see-by time is booked only with a reason, which goes on file', async () => {
  await addReferral(db, { id: 'ref_3', seeBy: '2026-03-03T14:30:00Z' })
  const ctx = contextFor(db)
  const late = asking('2026-03-10T13:00:00Z', { released: ['after_see_by'] })
  expect(await bookVisit(ctx, book('ref_3', { start: late }))).toEqual({ ok: false, error: { code: 'reason_needed' } })
  const why = { ...late, because: 'The patient is away until then' }
  expect((await bookVisit(ctx, book('ref_3', { start: why }))).ok).toBe(true)
  const [line] = await db.select().from(auditEvents).where(eq(auditEvents.action, 'visit.booked'))
  expect(line?.after).toMatchObject({ released: ['after_see_by'], because: 'The patient is away until then' })
})

test('what was set aside in the search but not used for the start is not on file', async () => {
  const ctx = contextFor(db)
  const start = asking('2026-03-03T14:00:00Z', { released: ['after_see_by', 'other_patient_times'] })
  expect((await bookVisit(ctx, book('ref_1', { start }))).ok).toBe(true)
  const [line] = await db.select().from(auditEvents).where(eq(auditEvents.action, 'visit.booked'))
  expect(line?.after).toMatchObject({ released: [] })
})

test('a hold keeps what was set aside for it, and books with it', async () => {
  await addReferral(db, { id: 'ref_3', seeBy: '2026-03-03T14:30:00Z' })
  const ctx = contextFor(db)
  const late = asking('2026-03-10T13:00:00Z', { released: ['after_see_by'], because: 'The patient is away until then' })
  const held = await holdStart(ctx, { key: 'hold of ref_3', referralId: 'ref_3', start: late })
  const heldVisitId = held.ok ? held.value.visitId : ''
  const plain = { ...late, released: [], because: null }
  expect((await bookVisit(ctx, book('ref_3', { heldVisitId, start: plain }))).ok).toBe(true)
  const [visit] = await db.select().from(visits).where(eq(visits.id, heldVisitId))
  expect(visit).toMatchObject({ released: ['after_see_by'], releasedBecause: 'The patient is away until then' })
})

describe('time kept for urgent visits', () => {
  beforeEach(async () => {
    await db.update(clinicSessions).set({ urgentMin: 60, urgentReleaseHours: 4 })
  })
  const kept = (change: Partial<AskedStart> = {}) => asking('2026-03-03T16:15:00Z', change)

  test('is refused to a routine patient, and not released where the clinic keeps it', async () => {
    const ctx = contextFor(db)
    expect(await bookVisit(ctx, book('ref_1', { start: kept() }))).toMatchObject({
      error: { code: 'start_refused', because: 'kept_for_urgent' },
    })
    const released = kept({ released: ['urgent_starts'], because: 'No other start' })
    expect(await bookVisit(ctx, book('ref_1', { key: 'released', start: released }))).toEqual({
      ok: false,
      error: { code: 'release_not_allowed' },
    })
  })

  test('is released where the clinic allows it, with a reason', async () => {
    const policy = { ...DEFAULT_POLICY, booking: { ...DEFAULT_POLICY.booking, urgentStarts: 'released_with_reason' } }
    await db.update(clinics).set({ policy })
    const ctx = contextFor(db)
    const released = kept({ released: ['urgent_starts'] })
    expect(await bookVisit(ctx, book('ref_1', { start: released }))).toMatchObject({ error: { code: 'reason_needed' } })
    const why = { ...released, because: 'The patient travels' }
    expect((await bookVisit(ctx, book('ref_1', { key: 'why', start: why }))).ok).toBe(true)
  })

  test('is there at once for a referral that came as urgent', async () => {
    await db.update(referrals).set({ priority: 'urgent' }).where(eq(referrals.id, 'ref_1'))
    expect((await bookVisit(contextFor(db), book('ref_1', { start: kept() }))).ok).toBe(true)
  })

  test('hours are counted over a holiday that lies between now and the start', async () => {
    // From Friday 08:00 to the next Friday 09:00 are 9 + 27 + 1 working hours where the Monday between is a holiday.
    await db.update(clinicSessions).set({ urgentMin: 60, urgentReleaseHours: 37 })
    const start = askingInPerson('2026-03-13T15:15:00Z', { sessionId: 'ses_boyd_site', clinicianId: 'cli_boyd' })
    const plain = contextFor(db, { now: '2026-03-06T13:00:00Z', ids: 'a' })
    expect(await bookVisit(plain, book('ref_1', { start }))).toMatchObject({ error: { because: 'kept_for_urgent' } })
    await db.insert(holidays).values({ clinicId: CLINIC, onDate: '2026-03-09', name: 'A closed Monday' })
    const after = contextFor(db, { now: '2026-03-06T13:00:00Z', ids: 'b' })
    expect((await bookVisit(after, book('ref_1', { key: 'after', start }))).ok).toBe(true)
  })

  test('is free for everybody from the clinic’s hours before the opening, of its working time', async () => {
    // The Tuesday opens at 09:00; four working hours before is Monday 14:00, where the clinic's day is 08:00 to 17:00.
    const just = contextFor(db, { now: '2026-03-02T18:59:00Z', ids: 'a' })
    const from = contextFor(db, { now: '2026-03-02T19:00:00Z', ids: 'b' })
    expect((await bookVisit(just, book('ref_1', { start: kept() }))).ok).toBe(false)
    expect((await bookVisit(from, book('ref_1', { key: 'in time', start: kept() }))).ok).toBe(true)
  })
})

test('an early look is booked beside the visit in person, before it and never after', async () => {
  await addReferral(db, { id: 'ref_3', conditionId: 'achilles_rupture' })
  const ctx = contextFor(db)
  const released = { released: ['after_see_by' as const], because: 'The patient is away until then' }
  const inPerson = askingInPerson('2026-03-05T18:00:00Z', released)
  expect((await bookVisit(ctx, book('ref_3', { start: inPerson }))).ok).toBe(true)
  const tooLate = asking('2026-03-10T13:00:00Z', released)
  expect(await bookVisit(ctx, book('ref_3', { key: 'a late look', start: tooLate }))).toMatchObject({
    error: { code: 'start_refused', because: 'after_see_by' },
  })
  const early = asking('2026-03-03T14:00:00Z')
  expect((await bookVisit(ctx, book('ref_3', { key: 'an early look', start: early }))).ok).toBe(true)
  const modes = (await db.select().from(visits).where(eq(visits.status, 'booked'))).map((visit) => visit.mode)
  expect(modes.sort()).toEqual(['in_person', 'video'])
})

test('booking in time ends the task that said there was no start in time', async () => {
  await addReferral(db, {
    id: 'ref_3',
    answers: { ...goodHome(), accepts_video: false },
    seeBy: '2026-03-05T21:00:00Z',
  })
  const ctx = contextFor(db)
  await bookVisit(ctx, book('ref_1', { start: askingInPerson('2026-03-05T18:00:00Z') }))
  for (const [n, at] of ['18:30', '19:00', '19:30', '20:00', '20:30'].entries()) {
    await addReferral(db, { id: `ref_1${n}` })
    await bookVisit(ctx, book(`ref_1${n}`, { start: askingInPerson(`2026-03-05T${at}:00Z`) }))
  }
  const search = { referralId: 'ref_3', mode: null, clinicianId: null, dayPart: null, released: [], days: 6, perDay: 6 }
  await findStarts(ctx, search)
  const open = () => db.select({ kind: tasks.kind }).from(tasks).where(isNull(tasks.doneAt))
  expect(await open()).toEqual([{ kind: 'see_by_breach' }])
  // Somebody gives their time back.
  await db.update(visits).set({ status: 'cancelled' }).where(eq(visits.referralId, 'ref_10'))
  expect((await bookVisit(ctx, book('ref_3', { start: askingInPerson('2026-03-05T18:30:00Z') }))).ok).toBe(true)
  expect(await open()).toEqual([])
})

test('a patient books their own referral and nobody else’s', async () => {
  const asPatient = contextFor(db, { actor: patientOf('ref_1') })
  expect((await bookVisit(asPatient, book('ref_1'))).ok).toBe(true)
  expect(await bookVisit(asPatient, book('ref_2'))).toEqual({ ok: false, error: { code: 'referral_not_found' } })
})

test('a patient can’t be in two visits at once, whatever they were referred for', async () => {
  await db.update(referrals).set({ patientId: 'pat_of_ref_1' }).where(eq(referrals.id, 'ref_2'))
  const ctx = contextFor(db)
  await bookVisit(ctx, book('ref_1', { start: askingInPerson('2026-03-05T18:00:00Z') }))
  const start = askingInPerson('2026-03-05T18:15:00Z')
  expect(await bookVisit(ctx, book('ref_2', { start }))).toMatchObject({ ok: false, error: { code: 'start_taken' } })
})
