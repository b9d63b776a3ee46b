/** Finishing the home check: only when all is asked, and then the decision is there at once. */
import { eq } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { assessments, homeChecks, referrals, tasks } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { finishHomeCheck } from '#lib/usecases/finish-home-check.ts'
import { readMyPage } from '#lib/usecases/read-my-page.ts'
import { detailsShown, type HomeDetailsInput, saveHomeDetails } from '#lib/usecases/save-home-details.ts'
import { addReferral, addSmallClinic, CLINIC, coordinator, goodHome, NOW, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { addUnasked, answering, as } from '#tests/support/home-check.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
})

const finish = (id: string, actor = patientOf(id)) => finishHomeCheck(as(db, actor), { referralId: id })
const place = { step: 'place', placeAddress: '3 Any Street', placeState: 'NY', timeZone: 'America/New_York' } as const
const contact = {
  step: 'contact',
  callbackPhone: '(555) 555-0123',
  contactName: 'Sam',
  contactPhone: '(555) 555-0124',
} as const
const anyTime = { step: 'times', days: [], parts: [], helperName: '', helperDays: [], helperParts: [] } as const
const consent = { step: 'consent', agreed: 'yes' } as const
const save = (id: string, input: unknown) => saveHomeDetails(as(db, patientOf(id)), id, input as HomeDetailsInput)

test('what is still open is named, question or detail, and nothing is decided before', async () => {
  await addUnasked(db, { id: 'ref_1' })
  expect(await finish('ref_1')).toEqual({ ok: false, error: { code: 'still_open', step: 'cold_foot' } })
  await answering(db, 'ref_1', goodHome())
  for (const [open, input] of [
    ['place', place],
    ['contact', contact],
    ['times', anyTime],
    ['consent', consent],
  ] as const) {
    expect(await finish('ref_1')).toEqual({ ok: false, error: { code: 'still_open', step: open } })
    await save('ref_1', input)
  }
  expect(await finish('ref_1')).toEqual({ ok: true, value: { disposition: 'video' } })
})

test('finishing screens the referral, moves it on, and takes the phone call off the desk', async () => {
  await addUnasked(db, { id: 'ref_1' })
  await db.insert(tasks).values({
    clinicId: CLINIC,
    id: 'tsk_1',
    referralId: 'ref_1',
    kind: 'phone_home_check',
    dedupeKey: 'phone',
    detail: {},
    openedAt: Temporal.Instant.from(NOW),
  })
  await answering(db, 'ref_1', goodHome())
  for (const input of [place, contact, anyTime, consent]) await save('ref_1', input)
  await finish('ref_1')
  expect(await db.select().from(referrals)).toMatchObject([{ stage: 'screened' }])
  expect(await db.select().from(homeChecks)).toMatchObject([{ finishedAt: Temporal.Instant.from(NOW) }])
  expect(await db.select().from(tasks)).toMatchObject([{ doneBy: 'pat_of_ref_1' }])
})

test('finishing twice is harmless', async () => {
  await addReferral(db, { id: 'ref_1' })
  await save('ref_1', contact)
  const done = { ok: true, value: { disposition: 'video' } }
  expect(await finish('ref_1')).toEqual(done)
  expect(await finish('ref_1')).toEqual(done)
})

test('who does not want a visit by video is not asked to agree to one, and is seen in person', async () => {
  await addReferral(db, { id: 'ref_1', answers: { ...goodHome(), accepts_video: false } })
  await db.update(homeChecks).set({ consentedAt: null })
  await save('ref_1', contact)
  expect(await finish('ref_1')).toEqual({ ok: true, value: { disposition: 'in_person' } })
})

test('nobody finishes another patient’s home check', async () => {
  await addReferral(db, { id: 'ref_1' })
  await addReferral(db, { id: 'ref_2' })
  expect(await finish('ref_2', patientOf('ref_1'))).toEqual({ ok: false, error: { code: 'referral_not_found' } })
})

test('a patient’s page offers a time only once the decision allows one', async () => {
  await addUnasked(db, { id: 'ref_1' })
  const page = () => readMyPage(as(db, patientOf('ref_1')), { referralId: 'ref_1' })
  expect(await page()).toMatchObject({ value: { check: 'to_do', canBook: false, visit: null, hasPacket: false } })
  await answering(db, 'ref_1', goodHome())
  expect(await page()).toMatchObject({ value: { check: 'started', canBook: false } })
  for (const input of [place, contact, anyTime, consent]) await save('ref_1', input)
  await finish('ref_1')
  expect(await page()).toMatchObject({ value: { check: 'done', canBook: true } })
  await answering(db, 'ref_1', { cold_foot: true })
  expect(await page()).toMatchObject({ value: { check: 'stopped', canBook: false } })
})

test('a page of details that somebody else changed meanwhile is not overwritten unseen', async () => {
  await addReferral(db, { id: 'ref_1' })
  const [before] = await db.select().from(homeChecks).where(eq(homeChecks.referralId, 'ref_1'))
  const shown = detailsShown({ contactName: before?.contactName ?? null }, 'contact')
  await save('ref_1', contact)
  const mine = { ...contact, contactName: 'Kim' }
  expect(await saveHomeDetails(as(db, coordinator), 'ref_1', mine, shown)).toEqual({
    ok: false,
    error: { code: 'changed_meanwhile' },
  })
  expect((await saveHomeDetails(as(db, coordinator), 'ref_1', contact, shown)).ok).toBe(true)
})

test('every screening stays on file', async () => {
  await addReferral(db, { id: 'ref_1' })
  await save('ref_1', contact)
  await finish('ref_1')
  expect(await db.select().from(assessments)).toHaveLength(2)
  await expect(db.delete(assessments)).rejects.toThrow()
})
