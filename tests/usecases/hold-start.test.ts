import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, visits } from '#db/schema/index.ts'
import { type HoldStartInput, holdStart } from '#lib/usecases/hold-start.ts'
import { releaseHold } from '#lib/usecases/release-hold.ts'
import { addReferral, addSmallClinic, contextFor, goodHome, patientOf } from '#tests/support/clinic.ts'
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
const hold = (referralId: string, change: Partial<HoldStartInput> = {}): HoldStartInput => ({
  key: `hold ${referralId}`,
  referralId,
  start: asking(NINE),
  ...change,
})
const listVisits = () =>
  db.select({ referralId: visits.referralId, status: visits.status }).from(visits).orderBy(visits.createdAt, visits.id)

test('a start is held for ten minutes, with an audit line', async () => {
  const result = await holdStart(contextFor(db), hold('ref_1'))
  expect(result).toMatchObject({ ok: true, value: { startsAt: NINE, expiresAt: '2026-03-02T13:10:00Z' } })
  expect(await db.select().from(visits)).toMatchObject([{ status: 'held', heldBy: 'stf_1', mode: 'video', version: 1 }])
  const lines = await db.select().from(auditEvents)
  expect(lines.filter((line) => line.action === 'visit.held')).toMatchObject([
    { referralId: 'ref_1', actorId: 'stf_1' },
  ])
})

test('the second to ask for a start is told that it is taken, with the next best already found', async () => {
  await holdStart(contextFor(db), hold('ref_1'))
  const result = await holdStart(contextFor(db, { ids: 'b' }), hold('ref_2'))
  if (result.ok || result.error.code !== 'start_taken') throw new Error('expected start_taken')
  expect(result.error.next.map((start) => start.startsAt).slice(0, 3)).toEqual([
    '2026-03-03T14:45:00Z',
    '2026-03-03T15:00:00Z',
    '2026-03-03T15:15:00Z',
  ])
  expect(await listVisits()).toEqual([{ referralId: 'ref_1', status: 'held' }])
})

test('a visit that begins when the other ends fits', async () => {
  await holdStart(contextFor(db), hold('ref_1'))
  const next = await holdStart(contextFor(db, { ids: 'b' }), hold('ref_2', { start: asking('2026-03-03T14:45:00Z') }))
  expect(next.ok).toBe(true)
})

test('a hold that has run out is in nobody’s way', async () => {
  await holdStart(contextFor(db), hold('ref_1'))
  const later = contextFor(db, { now: '2026-03-02T13:10:00Z', ids: 'b' })
  expect((await holdStart(later, hold('ref_2'))).ok).toBe(true)
  expect(await listVisits()).toEqual([
    { referralId: 'ref_1', status: 'lapsed' },
    { referralId: 'ref_2', status: 'held' },
  ])
})

test('one referral holds one start: the second choice gives the first back', async () => {
  const ctx = contextFor(db)
  await holdStart(ctx, hold('ref_1'))
  await holdStart(ctx, hold('ref_1', { key: 'second choice', start: asking('2026-03-03T15:00:00Z') }))
  expect((await listVisits()).map((visit) => visit.status).sort()).toEqual(['held', 'lapsed'])
  expect((await holdStart(contextFor(db, { ids: 'b' }), hold('ref_2'))).ok).toBe(true)
})

test('the same form sent twice holds once and gets the same answer', async () => {
  const ctx = contextFor(db)
  const first = await holdStart(ctx, hold('ref_1'))
  expect(await holdStart(ctx, hold('ref_1'))).toEqual(first)
  expect(await listVisits()).toHaveLength(1)
})

test('a released start can be had by somebody else at once', async () => {
  const ctx = contextFor(db)
  const held = await holdStart(ctx, hold('ref_1'))
  const visitId = held.ok ? held.value.visitId : ''
  expect(await releaseHold(ctx, { referralId: 'ref_1', visitId })).toEqual({ ok: true, value: { visitId } })
  expect(await releaseHold(ctx, { referralId: 'ref_1', visitId })).toEqual({ ok: false, error: { code: 'hold_gone' } })
  expect((await holdStart(contextFor(db, { ids: 'b' }), hold('ref_2'))).ok).toBe(true)
})

// A start made by hand meets the same conditions as an offered one.
test.each([
  ['off the quarter hour', asking('2026-03-03T14:05:00Z'), 'off_grain'],
  ['running past the end of the session', asking('2026-03-03T16:30:00Z'), 'outside_session'],
  ['in the past', asking('2026-02-24T14:00:00Z'), 'in_the_past'],
  ['beyond the see-by time', asking('2026-04-14T13:00:00Z'), 'after_see_by'],
  [
    'in a session of another clinician',
    asking('2026-03-04T14:00:00Z', { sessionId: 'ses_boyd_video' }),
    'no_such_session',
  ],
  [
    'with a clinician who is not licensed there',
    asking('2026-03-04T14:00:00Z', { sessionId: 'ses_boyd_video', clinicianId: 'cli_boyd' }),
    'not_licensed',
  ],
])('a start %s is refused by name', async (_, start, because) => {
  const result = await holdStart(contextFor(db), hold('ref_1', { start }))
  expect(result).toMatchObject({ ok: false, error: { code: 'start_refused', because } })
  expect(await listVisits()).toEqual([])
})

test('a start within the notice period is refused', async () => {
  const soon = contextFor(db, { now: '2026-03-03T12:30:00Z' })
  expect(await holdStart(soon, hold('ref_1'))).toMatchObject({ error: { because: 'notice_too_short' } })
})

test('a mode that was not decided is refused, however it is asked for', async () => {
  await addReferral(db, { id: 'ref_3', answers: { ...goodHome(), accepts_video: false } })
  const result = await holdStart(contextFor(db), hold('ref_3'))
  expect(result).toEqual({ ok: false, error: { code: 'mode_not_offered' } })
  // Coming to the clinic is the coordinator's to choose, not the patient's own.
  const start = askingInPerson('2026-03-05T18:00:00Z')
  const asPatient = contextFor(db, { actor: patientOf('ref_1') })
  expect(await holdStart(asPatient, hold('ref_1', { start }))).toEqual({
    ok: false,
    error: { code: 'mode_not_offered' },
  })
  expect((await holdStart(contextFor(db), hold('ref_1', { start }))).ok).toBe(true)
})

test('an early look can’t be had before the visit in person is booked', async () => {
  await addReferral(db, { id: 'ref_3', conditionId: 'achilles_rupture' })
  expect(await holdStart(contextFor(db), hold('ref_3'))).toEqual({ ok: false, error: { code: 'in_person_first' } })
})

test('a patient may not set aside what is not theirs to set aside', async () => {
  const asPatient = contextFor(db, { actor: patientOf('ref_1') })
  const start = asking('2026-04-14T13:00:00Z', {
    released: ['after_see_by'],
    because: 'The patient is away until then',
  })
  expect(await holdStart(asPatient, hold('ref_1', { start }))).toEqual({
    ok: false,
    error: { code: 'release_not_allowed' },
  })
  expect((await holdStart(contextFor(db), hold('ref_1', { start }))).ok).toBe(true)
})

test('nothing is held while an emergency is not acknowledged', async () => {
  await addReferral(db, { id: 'ref_3', answers: { ...goodHome(), chest_or_breath: true } })
  expect(await holdStart(contextFor(db), hold('ref_3'))).toEqual({ ok: false, error: { code: 'stopped' } })
})

test('somebody else’s referral looks the same as a missing one', async () => {
  const asOther = contextFor(db, { actor: patientOf('ref_2') })
  const missing = { ok: false, error: { code: 'referral_not_found' } }
  expect(await holdStart(asOther, hold('ref_1'))).toEqual(missing)
  expect(await holdStart(asOther, hold('ref_9'))).toEqual(missing)
})

test('each visit takes a room of its own, and the last room is the last start', async () => {
  // Hudson Street has two rooms; only Ames sees people there, so one visit at a time fits.
  await addReferral(db, { id: 'ref_3', answers: { ...goodHome(), accepts_video: false } })
  const start = askingInPerson('2026-03-05T18:00:00Z', { roomId: 'roo_2' })
  await holdStart(contextFor(db), hold('ref_3', { start }))
  expect(await db.select().from(visits)).toMatchObject([
    { roomId: 'roo_2', mode: 'in_person', placeState: 'NY', plan: null },
  ])
})
