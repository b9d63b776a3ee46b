/** A person decides otherwise than the engine: both answers stay, and the person's holds only while the engine's does. */
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { assessments, auditEvents, referrals } from '#db/schema/index.ts'
import type { Actor } from '#lib/domain/access/actor.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'
import { overruleDisposition, overruleDispositionInput } from '#lib/usecases/overrule-disposition.ts'
import { readScreening } from '#lib/usecases/read-screening.ts'
import { addReferral, addSmallClinic, coordinator, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { answering, as } from '#tests/support/home-check.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
})

const page = async () => {
  const read = await readScreening(as(db, coordinator), { referralId: 'ref_1' })
  if (!read.ok) throw new Error(read.error.code)
  return read.value
}
const because = 'The patient sounded confused on the phone'
const overrule = async (to: Disposition, options: { actor?: Actor; assessmentId?: string } = {}) =>
  overruleDisposition(as(db, options.actor ?? coordinator), {
    referralId: 'ref_1',
    assessmentId: options.assessmentId ?? (await page()).assessment.id,
    to,
    because,
  })

test('the engine’s answer stays beside the person’s, with their name and reason', async () => {
  expect((await overrule('in_person')).ok).toBe(true)
  expect(await page()).toMatchObject({
    disposition: 'in_person',
    overruled: { to: 'in_person', because, byName: 'Robin Vale' },
    assessment: { screening: { disposition: 'video' } },
    history: [
      { engine: 'video', overruled: { to: 'in_person' } },
      { engine: 'video', overruled: null },
    ],
  })
  expect(await db.select().from(assessments)).toHaveLength(2)
  const lines = (await db.select().from(auditEvents)).filter(({ action }) => action === 'screening.overruled')
  expect(lines).toMatchObject([{ before: { disposition: 'video' }, after: { disposition: 'in_person', because } }])
})

test('it holds while the engine keeps saying what it said', async () => {
  await overrule('in_person')
  await answering(db, 'ref_1', { bright_light: true, worries_falling: true })
  expect(await page()).toMatchObject({ disposition: 'in_person', overruled: { because } })
})

test('it is dropped as soon as the engine says something else: a person looks again', async () => {
  await answering(db, 'ref_1', { has_camera: false })
  await overrule('video')
  expect(await page()).toMatchObject({ disposition: 'video' })
  await answering(db, 'ref_1', { hot_joint: true })
  expect(await page()).toMatchObject({ disposition: 'urgent_in_person', overruled: null })
})

test('going back to the engine’s answer leaves no overruling behind', async () => {
  await overrule('in_person')
  await overrule('video')
  expect(await page()).toMatchObject({ disposition: 'video', overruled: null })
})

test('a decision about a screening that is no longer the newest is not saved', async () => {
  const old = (await page()).assessment.id
  await answering(db, 'ref_1', { has_camera: false })
  expect(await overrule('video_with_gaps', { assessmentId: old })).toEqual({
    ok: false,
    error: { code: 'screened_again' },
  })
})

test('an emergency is answered by a call first, never by a form', async () => {
  await answering(db, 'ref_1', { cold_foot: true })
  expect(await overrule('video')).toEqual({ ok: false, error: { code: 'stopped' } })
  expect(await page()).toMatchObject({ disposition: 'emergency_advice' })
})

test('a reason is needed', () => {
  const input = { referralId: 'ref_1', assessmentId: 'asm_1', to: 'in_person' }
  expect(overruleDispositionInput.safeParse({ ...input, because: '   too short ' }).success).toBe(false)
  expect(overruleDispositionInput.safeParse({ ...input, because }).success).toBe(true)
})

test('neither the patient nor the system may set the engine’s answer aside', async () => {
  const system = { kind: 'system', clinicId: coordinator.clinicId, id: 'system' } as const
  for (const actor of [patientOf('ref_1'), system]) {
    expect(await overrule('in_person', { actor })).toEqual({ ok: false, error: { code: 'referral_not_found' } })
  }
})

test('deciding to ask again takes the referral back to asking', async () => {
  await overrule('ask_again')
  expect(await db.select().from(referrals)).toMatchObject([{ stage: 'triaged' }])
})
