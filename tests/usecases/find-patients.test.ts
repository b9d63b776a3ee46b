/** Whoever is on the phone is found by what they say of themselves, with everything of theirs, and nobody of another clinic. */
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { type AddReferralInput, addReferral } from '#lib/usecases/add-referral.ts'
import { closeReferral } from '#lib/usecases/close-referral.ts'
import { findPatients } from '#lib/usecases/find-patients.ts'
import { addSmallClinic, contextFor, coordinator } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'

let db: Db
const raw = { state: 'NY', receivedOn: '2026-02-27', reason: 'Sore heel.' }

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await add('1', { givenName: 'Fern', familyName: 'Mica', birthDate: '1961-03-09', phone: '202-555-0101' })
  await add('2', { givenName: 'Fernanda', familyName: 'Ridge', birthDate: '1970-01-01', phone: '202-555-0142' })
  await add('3', { givenName: '100%', familyName: "O'Mica_Vale", birthDate: '1961-03-09' })
})

async function add(key: string, who: AddReferralInput['raw']): Promise<string> {
  const added = await addReferral(contextFor(db, { ids: key }), { key: `add number ${key}`, raw: { ...raw, ...who } })
  if (!added.ok) throw new Error(JSON.stringify(added.error))
  return added.value.referralId
}
async function names(typed: string): Promise<string[]> {
  const found = await findPatients(contextFor(db), { typed })
  if (!found.ok) throw new Error(found.error.code)
  return found.value.patients.map(({ name }) => name)
}

test('by the beginning of any of their names, in any order, and by no middle of one', async () => {
  expect(await names('fern')).toEqual(['Fern Mica', 'Fernanda Ridge'])
  expect(await names('mica fern')).toEqual(['Fern Mica'])
  expect(await names('ica')).toEqual([])
})

test('by phone, as it is said, and by date of birth', async () => {
  expect(await names('(202) 555-0142')).toEqual(['Fernanda Ridge'])
  expect(await names('0101')).toEqual(['Fern Mica'])
  expect(await names('3/9/1961')).toEqual(['Fern Mica', "100% O'Mica_Vale"])
})

test('signs that mean something to a database mean nothing here', async () => {
  expect(await names('10%')).toEqual([])
  expect(await names('100%')).toEqual(["100% O'Mica_Vale"])
  expect(await names("o'mica_")).toEqual(["100% O'Mica_Vale"])
})

test('also when their referral is closed, with all of theirs', async () => {
  const referralId = await add('4', { givenName: 'Opal', familyName: 'Sand', birthDate: '1950-05-05' })
  await closeReferral(contextFor(db), { referralId, because: 'Went elsewhere' })
  expect(await findPatients(contextFor(db), { typed: 'opal' })).toMatchObject({
    value: { isCut: false, patients: [{ name: 'Opal Sand', referrals: [{ referralId, stage: 'closed' }] }] },
  })
})

test('not by an admin, and not from another clinic', async () => {
  const admin = contextFor(db, { actor: { ...coordinator, role: 'admin' } })
  expect(await findPatients(admin, { typed: 'fern' })).toEqual({ ok: false, error: { code: 'not_allowed' } })
  const stranger = contextFor(db, { actor: { ...coordinator, clinicId: 'cln_2' } })
  expect(await findPatients(stranger, { typed: 'fern' })).toMatchObject({ value: { patients: [] } })
})
