/** Screening as it is written down: every time anew, never over what was there. */
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { findNewestAssessment } from '#db/queries/assessments.ts'
import { assessments, auditEvents, patients, referrals, tasks } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { factsOf } from '#lib/domain/screening/facts-of.ts'
import { readReferral } from '#lib/usecases/read-referral.ts'
import { addReferral, addSmallClinic, CLINIC, coordinator, patientOf, screenAgain } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { addUnasked, answering, as } from '#tests/support/home-check.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
})

test('age is counted in whole years on the day itself', () => {
  const age = (born: string, today: string) => factsOf({}, born, Temporal.PlainDate.from(today)).age_years
  expect(age('2008-03-02', '2026-03-01')).toBe(17)
  expect(age('2008-03-02', '2026-03-02')).toBe(18)
  // Born on a leap day: 18 on 1 March of a common year (common practice; 28 February where the law says so).
  expect(age('2008-02-29', '2026-02-28')).toBe(17)
  expect(factsOf({}, null, Temporal.PlainDate.from('2026-03-02'))).toEqual({})
})

test('"not sure" is never a fact', () => {
  expect(factsOf({ fell: 'not_sure', helper: true }, null, Temporal.PlainDate.from('2026-03-02'))).toEqual({
    helper: true,
  })
})

test('a referral that is not triaged is not screened', async () => {
  await addUnasked(db, { id: 'ref_1' })
  const before = await db.select().from(assessments)
  await db
    .update(referrals)
    .set({ stage: 'received', protocolId: null, protocolVersion: null, conditionId: null, side: null, seeBy: null })
  await screenAgain(db, 'ref_1', '2026-03-02T15:00:00Z')
  expect(await db.select().from(assessments)).toEqual(before)
})

test('each screening is a new line with its audit; the last one counts, whatever the clocks said', async () => {
  await addReferral(db, { id: 'ref_1' })
  await answering(db, 'ref_1', { has_camera: false })
  // A command that waited for another's lock had read its clock before it.
  await answering(db, 'ref_1', { has_camera: true }, { now: '2026-03-02T12:59:59Z' })
  expect(await findNewestAssessment(db, CLINIC, 'ref_1')).toMatchObject({ disposition: 'video' })
  expect(await db.select().from(assessments)).toHaveLength(3)
  const lines = (await db.select().from(auditEvents)).filter(({ action }) => action === 'referral.screened')
  expect(lines).toHaveLength(3)
})

test.each([
  ['the patient', patientOf('ref_1')],
  ['a coordinator on the phone', coordinator],
  ['a lead', { ...coordinator, role: 'lead' as const }],
])('an urgent sign that %s writes down stands on the desk at once', async (_who, actor) => {
  await addUnasked(db, { id: 'ref_1' })
  await answering(db, 'ref_1', { hot_joint: true }, { actor })
  expect(await db.select().from(tasks)).toMatchObject([
    { kind: 'urgent_flag', detail: { flagId: 'hot_joint' }, dueAt: Temporal.Instant.from('2026-03-03T13:00:00Z') },
  ])
  expect(await readReferral(as(db, coordinator), { referralId: 'ref_1' })).toMatchObject({
    value: { step: 'call_now' },
  })
  await answering(db, 'ref_1', { cold_foot: true }, { actor })
  const kinds = (await db.select().from(tasks)).map(({ kind }) => kind)
  expect(kinds.sort()).toEqual(['emergency_call', 'urgent_flag'])
})

test('a decision that the answers no longer carry is taken back to asking', async () => {
  await addReferral(db, { id: 'ref_1' })
  expect(await db.select().from(referrals)).toMatchObject([{ stage: 'screened' }])
  await answering(db, 'ref_1', { cold_foot: 'not_sure' })
  expect(await db.select().from(referrals)).toMatchObject([{ stage: 'triaged' }])
})

test('without a date of birth the age is not known, and clears nothing', async () => {
  await addReferral(db, { id: 'ref_1' })
  await db.update(patients).set({ birthDate: null })
  await answering(db, 'ref_1', { acute_injury: true })
  expect(await findNewestAssessment(db, CLINIC, 'ref_1')).toMatchObject({
    disposition: expect.not.stringMatching(/^video/),
  })
})
