import { readFileSync } from 'node:fs'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { listCurrentProtocols } from '#db/queries/protocols.ts'
import { clinics, protocols, staff } from '#db/schema/index.ts'
import { setUpClinic } from '#lib/usecases/set-up-clinic.ts'
import { signIn } from '#lib/usecases/sign-in.ts'
import { contextFor } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'

let db: Db
const sample = () => JSON.parse(readFileSync('seed/samples/clinic.json', 'utf8'))

beforeEach(async () => {
  db = (await emptyDb()).db
})

test('a clinic comes into being whole, and its people can sign in', async () => {
  const result = await setUpClinic(contextFor(db), { document: sample(), isDemo: false })
  expect(result).toEqual({ ok: true, value: { clinicId: 'cln_sample', slug: 'sample' } })
  const signedIn = await signIn(contextFor(db, { ids: 'in' }), {
    clinicId: 'cln_sample',
    email: 'coordinator@clinic.example.org',
    passphrase: 'replace this with your own words',
    from: null,
  })
  expect(signedIn.ok).toBe(true)
})

// Safety: until a licensed lead has signed it off, no protocol can be used on a patient.
test('without a sign-off the protocol is a draft that nobody can triage with', async () => {
  await setUpClinic(contextFor(db), { document: sample(), isDemo: false })
  expect(await db.select({ status: protocols.status }).from(protocols)).toEqual([{ status: 'draft' }])
  expect(await listCurrentProtocols(db, 'cln_sample')).toEqual([])
})

test('signed off by its lead the protocol is in force', async () => {
  await setUpClinic(contextFor(db), { document: { ...sample(), protocolSignedOffBy: 'stf_lead' }, isDemo: false })
  expect(await listCurrentProtocols(db, 'cln_sample')).toHaveLength(1)
})

test('the same clinic twice changes nothing', async () => {
  await setUpClinic(contextFor(db), { document: sample(), isDemo: false })
  const again = await setUpClinic(contextFor(db, { ids: 'again' }), { document: sample(), isDemo: false })
  expect(again).toEqual({ ok: false, error: { code: 'clinic_exists' } })
  expect(await db.select().from(clinics)).toHaveLength(1)
})

test('a file with a fault leaves nothing behind', async () => {
  const file = sample()
  file.staff[0].passphrase = 'too short'
  const result = await setUpClinic(contextFor(db), { document: file, isDemo: false })
  expect(result).toMatchObject({ ok: false, error: { code: 'faults', faults: [{ path: 'staff.0.passphrase' }] } })
  expect(await db.select().from(staff)).toEqual([])
})
