/** Answers of the home check: what a raised flag does at once, and what no answer may ever do. */
import { and, eq } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { answers, auditEvents, messages, patients, referrals, tasks } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { flagsRaised } from '#lib/domain/screening/home-check.ts'
import { acknowledgeTask } from '#lib/usecases/acknowledge-task.ts'
import { answerQuestions } from '#lib/usecases/answer-questions.ts'
import { finishHomeCheck } from '#lib/usecases/finish-home-check.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { inviteHomeCheck } from '#lib/usecases/invite-home-check.ts'
import { readHomeCheck } from '#lib/usecases/read-home-check.ts'
import { addReferral, addSmallClinic, coordinator, goodHome, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { addUnasked, answering, as } from '#tests/support/home-check.ts'
import { asking } from '#tests/support/starts.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addUnasked(db, { id: 'ref_1' })
})

const referral = async (id = 'ref_1') => {
  const [row] = await db.select().from(referrals).where(eq(referrals.id, id))
  if (!row) throw new Error('no such referral')
  return row
}
const openTasks = async (kind: 'emergency_call' | 'urgent_flag') =>
  (await db.select().from(tasks).where(eq(tasks.kind, kind))).filter(({ doneAt }) => doneAt === null)
const stored = async (factId: string) =>
  (
    await db
      .select()
      .from(answers)
      .where(and(eq(answers.referralId, 'ref_1'), eq(answers.factId, factId)))
  )[0]

test('each answer is saved at once and leads to the next question', async () => {
  expect(await answering(db, 'ref_1', { cold_foot: false })).toEqual({
    ok: true,
    value: { stopAt: null, next: 'chest_or_breath' },
  })
  expect(await stored('cold_foot')).toMatchObject({ value: false, source: 'patient', answeredBy: 'pat_of_ref_1' })
  const check = await readHomeCheck(as(db, patientOf('ref_1')), { referralId: 'ref_1' })
  expect(check).toMatchObject({ ok: true, value: { next: 'chest_or_breath', isFinished: false } })
})

test('the audit keeps what stood there before', async () => {
  await answering(db, 'ref_1', { fell: false })
  await answering(db, 'ref_1', { fell: true })
  const lines = await db.select().from(auditEvents).where(eq(auditEvents.action, 'check.answered'))
  expect(lines).toMatchObject([
    { before: { fell: null }, after: { fell: false } },
    { before: { fell: false }, after: { fell: true } },
  ])
})

test('one answer that can’t be read keeps all of a form out, and is named', async () => {
  const result = await answering(db, 'ref_1', { fell: false, lane_m: 900 })
  expect(result).toMatchObject({
    ok: false,
    error: { code: 'answers_refused', faults: [{ factId: 'lane_m', fault: { code: 'out_of_range' } }] },
  })
  expect(await db.select().from(answers)).toEqual([])
})

test('hostile answers are refused, never stored', async () => {
  for (const raw of ['<script>alert(1)</script>', '1e999', '-3', 'true', '١٢', 'yes\u0000']) {
    const given = [{ factId: 'lane_m', raw, unit: 'm' }]
    expect((await answerQuestions(as(db, patientOf('ref_1')), { referralId: 'ref_1', given })).ok).toBe(false)
  }
  const given = [{ factId: '__proto__', raw: 'yes' }]
  expect((await answerQuestions(as(db, patientOf('ref_1')), { referralId: 'ref_1', given })).ok).toBe(false)
  expect(await db.select().from(answers)).toEqual([])
})

test('a patient answers only what patients are asked, and only for their own referral', async () => {
  expect(await answering(db, 'ref_1', { age_years: 40 })).toMatchObject({ error: { code: 'answers_refused' } })
  await addUnasked(db, { id: 'ref_2' })
  expect(await answering(db, 'ref_2', { fell: true }, { actor: patientOf('ref_1') })).toEqual({
    ok: false,
    error: { code: 'referral_not_found' },
  })
})

// Safety guarantee: an emergency stops everything, tells a person at once, and is told in writing exactly once.
test('an emergency answer stops everything, opens one call task and sends one message, however often it is given', async () => {
  const first = await answering(db, 'ref_1', { chest_or_breath: true })
  expect(first).toMatchObject({ ok: true, value: { stopAt: { flagId: 'chest_or_breath', level: 'emergency' } } })
  await answering(db, 'ref_1', { chest_or_breath: true })
  await answering(db, 'ref_1', { fell: true })

  expect(await referral()).toMatchObject({ isStopped: true })
  expect(await openTasks('emergency_call')).toMatchObject([
    { referralId: 'ref_1', detail: { flagId: 'chest_or_breath' } },
  ])
  expect(await db.select().from(messages)).toMatchObject([{ kind: 'seek_help', status: 'queued' }])
  expect(await readHomeCheck(as(db, patientOf('ref_1')), { referralId: 'ref_1' })).toMatchObject({
    value: { isHelpNeeded: true, disposition: 'emergency_advice' },
  })
})

test('while the emergency call is open nothing is finished, sent or held', async () => {
  await addReferral(db, { id: 'ref_2' })
  await answering(db, 'ref_2', { chest_or_breath: true })
  const staff = as(db, coordinator)
  expect(await finishHomeCheck(staff, { referralId: 'ref_2' })).toEqual({ ok: false, error: { code: 'stopped' } })
  expect(await inviteHomeCheck(staff, { referralId: 'ref_2' })).toEqual({ ok: false, error: { code: 'stopped' } })
  const start = asking('2026-03-03T14:00:00Z')
  expect((await holdStart(staff, { key: 'hold', referralId: 'ref_2', start })).ok).toBe(false)
})

test('an emergency that staff write down opens the call, and no mail goes out before it', async () => {
  await answering(db, 'ref_1', { cold_foot: true }, { actor: coordinator })
  expect(await openTasks('emergency_call')).toHaveLength(1)
  expect(await db.select().from(messages)).toEqual([])
})

test('a patient can’t take back a raised flag by a second answer; somebody at the clinic can', async () => {
  await answering(db, 'ref_1', { hot_joint: true })
  expect(await answering(db, 'ref_1', { hot_joint: false })).toEqual({
    ok: false,
    error: { code: 'raised_flag_stands', flagId: 'hot_joint' },
  })
  expect(await answering(db, 'ref_1', { hot_joint: 'not_sure' })).toMatchObject({
    error: { code: 'raised_flag_stands' },
  })
  expect(await stored('hot_joint')).toMatchObject({ value: true })
  expect((await answering(db, 'ref_1', { hot_joint: false }, { actor: coordinator })).ok).toBe(true)
  expect(await stored('hot_joint')).toMatchObject({ value: false, source: 'coordinator' })
})

test('a flag that staff took back and the patient raises again is told again', async () => {
  await answering(db, 'ref_1', { cold_foot: true })
  const [task] = await openTasks('emergency_call')
  if (!task) throw new Error('no call task')
  await acknowledgeTask(as(db, coordinator), { taskId: task.id, note: 'Spoke with the patient: a slip' })
  await answering(db, 'ref_1', { cold_foot: false }, { actor: coordinator })
  expect(await referral()).toMatchObject({ isStopped: false })

  const again = await answering(db, 'ref_1', { cold_foot: true }, { now: '2026-03-02T15:00:00Z' })
  expect(again).toMatchObject({ value: { stopAt: { flagId: 'sudden_cold_limb' } } })
  expect(await referral()).toMatchObject({ isStopped: true })
  expect(await openTasks('emergency_call')).toHaveLength(1)
})

test('a see-by time only comes nearer, and taking a flag back does not push it off again', async () => {
  const routine = (await referral()).seeBy
  await answering(db, 'ref_1', { hot_joint: true })
  const near = (await referral()).seeBy
  if (!routine || !near) throw new Error('a triaged referral has a see-by time')
  // The protocol's same-day flags: within 24 hours.
  expect(near).toEqual(Temporal.Instant.from('2026-03-03T13:00:00Z'))
  expect(Temporal.Instant.compare(near, routine)).toBe(-1)
  // A lesser flag a day later: one working day from then would be later.
  await answering(db, 'ref_1', { diabetes: true, foot_ulcer: true }, { now: '2026-03-03T12:00:00Z' })
  expect((await referral()).seeBy).toEqual(near)
  await answering(db, 'ref_1', { hot_joint: false }, { actor: coordinator })
  expect((await referral()).seeBy).toEqual(near)
})

test('an urgent answer by the patient puts one task on the desk, due by the limit', async () => {
  await answering(db, 'ref_1', { hot_joint: true })
  await answering(db, 'ref_1', { hot_joint: true, fell: true })
  expect(await openTasks('urgent_flag')).toMatchObject([
    { detail: { flagId: 'hot_joint' }, dueAt: Temporal.Instant.from('2026-03-03T13:00:00Z') },
  ])
})

// Safety guarantee: "I am not sure" is an answer, and it clears nothing.
test('"not sure" about any sign that alone would raise a flag keeps a good home from a video visit', async () => {
  const alone = footAndAnkle.facts.filter(
    ({ id, kind }) =>
      kind === 'yes_no' && flagsRaised(footAndAnkle, { ...goodHome(), age_years: 45, [id]: true }).length > 0,
  )
  expect(alone.length).toBeGreaterThan(8)
  for (const { id } of alone) {
    await addReferral(db, { id: `ref_${id}`, answers: { ...goodHome(), [id]: 'not_sure' } })
    const check = await readHomeCheck(as(db, patientOf(`ref_${id}`)), { referralId: `ref_${id}` })
    expect(check).toMatchObject({ value: { disposition: 'ask_again', screening: { rule: 'safety_not_known' } } })
  }
})

test('a minor with a fresh injury is kept from a video visit: the age comes from the date of birth', async () => {
  await db.update(patients).set({ birthDate: '2012-01-01' })
  expect(await answering(db, 'ref_1', { acute_injury: true })).toMatchObject({
    value: { stopAt: { flagId: 'ottawa_cannot_clear', level: 'in_person' } },
  })
})

test('two people filling in the same check don’t overwrite each other unseen', async () => {
  await answering(db, 'ref_1', { fell: true })
  const given = [{ factId: 'fell', raw: 'no', shown: '' }]
  expect(await answerQuestions(as(db, coordinator), { referralId: 'ref_1', given })).toEqual({
    ok: false,
    error: { code: 'changed_meanwhile', now: [{ factId: 'fell', answer: true }] },
  })
  const same = [{ factId: 'fell', raw: 'yes', shown: '' }]
  expect((await answerQuestions(as(db, coordinator), { referralId: 'ref_1', given: same })).ok).toBe(true)
  const seen = [{ factId: 'fell', raw: 'no', shown: 'yes' }]
  expect((await answerQuestions(as(db, coordinator), { referralId: 'ref_1', given: seen })).ok).toBe(true)
})

test('once finished, a change is screened as soon as it is saved', async () => {
  await addReferral(db, { id: 'ref_2' })
  await answering(db, 'ref_2', { has_camera: false })
  expect(await readHomeCheck(as(db, patientOf('ref_2')), { referralId: 'ref_2' })).toMatchObject({
    value: { disposition: 'in_person' },
  })
})
