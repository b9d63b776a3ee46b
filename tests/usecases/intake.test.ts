/** Referrals come in: each once, good rows past bad ones, and nobody is made one person with somebody else by a machine. */
import { and, eq, isNull } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, imports, patientMatches, patients, referrals, tasks } from '#db/schema/index.ts'
import { Temporal } from '#lib/base/time.ts'
import { CSV_COLUMNS } from '#lib/domain/intake/csv.ts'
import type { RawReferral } from '#lib/domain/intake/referral-draft.ts'
import { addReferral } from '#lib/usecases/add-referral.ts'
import { closeReferral } from '#lib/usecases/close-referral.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { decideMatch } from '#lib/usecases/decide-match.ts'
import { editPatient } from '#lib/usecases/edit-patient.ts'
import { importReferrals } from '#lib/usecases/import-referrals.ts'
import { readDesk } from '#lib/usecases/read-desk.ts'
import { readImport } from '#lib/usecases/read-import.ts'
import { readReferral } from '#lib/usecases/read-referral.ts'
import { reopenReferral } from '#lib/usecases/reopen-referral.ts'
import { addSmallClinic, CLINIC, contextFor, coordinator } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'

let db: Db
let ctx: Ctx

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  ctx = contextFor(db)
})

const quill: RawReferral = {
  givenName: 'Quillon',
  familyName: 'Samplewood',
  birthDate: '1961-03-09',
  phone: '202-555-0101',
  email: 'quillon@example.org',
  state: 'CO',
  receivedOn: '2026-02-27',
  reason: 'Right inner ankle pain',
  icd10: 'M76.821',
  side: 'right',
}

const FIELD_OF = new Map(CSV_COLUMNS.map(({ name, field }) => [field, name]))

function csv(rows: readonly RawReferral[]): Uint8Array {
  const lines = rows.map((row) => CSV_COLUMNS.map(({ field }) => row[field] ?? '').join(','))
  return new TextEncoder().encode([[...FIELD_OF.values()].join(','), ...lines].join('\r\n'))
}

const bring = (rows: readonly RawReferral[], key: string, who: Ctx = ctx) =>
  importReferrals(who, { key, kind: 'csv', fileName: 'monday.csv', bytes: csv(rows) })

const type = async (raw: RawReferral, key: string) => {
  const result = await addReferral(ctx, { key, raw })
  if (!result.ok) throw new Error(JSON.stringify(result.error))
  return result.value
}

test('a typed referral is on the desk, to be triaged, with what it left out', async () => {
  const { referralId } = await type({ ...quill, phone: null, side: null }, 'k1')
  const desk = await readDesk(ctx, { show: null })
  expect(desk).toMatchObject({
    ok: true,
    value: {
      counts: { open: 1, late: 0 },
      groups: [{ step: 'triage', lines: [{ referralId, missing: ['phone', 'side'] }] }],
    },
  })
  const audit = await db.select().from(auditEvents)
  expect(audit).toMatchObject([{ action: 'referral.added', referralId, actorId: 'stf_1' }])
})

test('a form sent twice adds one referral, and both get the same answer', async () => {
  const first = await addReferral(ctx, { key: 'k1', raw: quill })
  const second = await addReferral(ctx, { key: 'k1', raw: quill })
  expect(second).toEqual(first)
  expect(await db.select().from(referrals)).toHaveLength(1)
})

test('the same referral typed on another day is recognised and led to', async () => {
  const first = await type(quill, 'k1')
  expect(await type({ ...quill, phone: null }, 'k2')).toEqual({ referralId: first.referralId, isNew: false })
  expect(await db.select().from(patients)).toHaveLength(1)
})

test('every wrong field is named at once and nothing of the form is kept', async () => {
  const result = await addReferral(ctx, { key: 'k1', raw: { ...quill, birthDate: '9.3.1961', phone: 'none' } })
  expect(result).toEqual({
    ok: false,
    error: {
      code: 'faults',
      faults: [
        { field: 'birthDate', code: 'not_a_date' },
        { field: 'phone', code: 'not_a_phone' },
      ],
    },
  })
  expect(await db.select().from(patients)).toHaveLength(0)
})

test('a file with a bad row brings in the good ones and says where the bad one is wrong', async () => {
  const result = await bring(
    [
      quill,
      { ...quill, givenName: 'Other', phone: 'none', email: null },
      { ...quill, givenName: 'Third', phone: null, email: null, birthDate: '1950-01-01' },
    ],
    'k1',
  )
  expect(result).toMatchObject({ ok: true, value: { added: 2, known: 0, faults: 1 } })
  const [row] = await db.select().from(imports)
  expect(row?.faults).toMatchObject([{ line: 3, column: 'phone' }])
})

test('the same file again brings in nothing and counts every row as known', async () => {
  await bring([quill, { ...quill, reason: 'Left heel pain' }], 'k1')
  expect(await bring([quill, { ...quill, reason: 'Left heel pain' }], 'k2')).toMatchObject({
    ok: true,
    value: { added: 0, known: 2, faults: 0 },
  })
  expect(await db.select().from(referrals)).toHaveLength(2)
})

test('the same referral twice in one file comes in once', async () => {
  expect(await bring([quill, quill], 'k1')).toMatchObject({ ok: true, value: { added: 1, known: 1 } })
})

test('a patient who is surely known gets the new referral, and only what was blank is filled', async () => {
  const { referralId } = await type({ ...quill, email: null }, 'k1')
  await bring([{ ...quill, reason: 'Left heel pain', state: 'UT', city: 'Sampleton' }], 'k2')
  const people = await db.select().from(patients)
  expect(people).toMatchObject([{ email: 'quillon@example.org', state: 'CO', city: 'Sampleton', version: 2 }])
  expect((await db.select().from(referrals)).map((row) => row.patientId)).toEqual([people[0]?.id, people[0]?.id])
  const added = await db.select().from(auditEvents).where(eq(auditEvents.action, 'referral.added'))
  expect(added.find((line) => line.referralId !== referralId)?.after).toMatchObject({ differs: { state: 'UT' } })
})

test('somebody who only may be known gets a record of their own and a question to a person', async () => {
  const known = await type(quill, 'k1')
  const result = await bring([{ ...quill, givenName: 'Quilon', reason: 'Left heel pain' }], 'k2')
  if (!result.ok) throw new Error(result.error.code)
  expect(await db.select().from(patients)).toHaveLength(2)
  const [match] = await db.select().from(patientMatches)
  expect(match).toMatchObject({
    decision: null,
    because: expect.arrayContaining(['name_one_letter_off', 'same_birth_date']),
  })
  const desk = await readDesk(ctx, { show: 'decide_match' })
  expect(desk).toMatchObject({
    ok: true,
    value: { groups: [{ step: 'decide_match', lines: [{ referralId: match?.referralId }] }] },
  })
  expect(await readImport(ctx, { importId: result.value.importId })).toMatchObject({
    ok: true,
    value: { undecided: [{ referralId: match?.referralId }] },
  })
  expect(known.referralId).not.toBe(match?.referralId)
})

async function twoWhoMayBeOne() {
  const known = await type({ ...quill, email: null }, 'k1')
  const fresh = await type({ ...quill, givenName: 'Quilon', reason: 'Left heel pain' }, 'k2')
  const [match] = await db.select().from(patientMatches).where(eq(patientMatches.referralId, fresh.referralId))
  if (!match) throw new Error('no question was asked')
  return { known, fresh, candidateId: match.candidateId }
}

test('"same" moves the referral to the known record, fills its blanks and ends the question', async () => {
  const { fresh, candidateId } = await twoWhoMayBeOne()
  const result = await decideMatch(ctx, { referralId: fresh.referralId, candidateId, decision: 'same' })
  expect(result).toEqual({ ok: true, value: { patientId: candidateId, isDecided: true } })
  expect((await db.select().from(referrals)).every((row) => row.patientId === candidateId)).toBe(true)
  const [kept] = await db.select().from(patients).where(eq(patients.id, candidateId))
  expect(kept).toMatchObject({ givenName: 'Quillon', email: 'quillon@example.org' })
  expect(await db.select().from(patients)).toHaveLength(2)
  expect(await db.select().from(tasks)).toMatchObject([{ kind: 'match', doneBy: 'stf_1' }])
  const page = await readReferral(ctx, { referralId: fresh.referralId })
  expect(page).toMatchObject({ ok: true, value: { step: 'triage', patient: { id: candidateId } } })
})

test('"different" leaves both as they are and never asks again by itself', async () => {
  const { fresh, candidateId } = await twoWhoMayBeOne()
  await decideMatch(ctx, { referralId: fresh.referralId, candidateId, decision: 'different' })
  const [row] = await db.select().from(referrals).where(eq(referrals.id, fresh.referralId))
  expect(row?.patientId).not.toBe(candidateId)
  expect(await decideMatch(ctx, { referralId: fresh.referralId, candidateId, decision: 'same' })).toEqual({
    ok: false,
    error: { code: 'already_decided' },
  })
})

test('a third referral that was compared with the joined record is asked about the record that stayed', async () => {
  const { fresh, candidateId } = await twoWhoMayBeOne()
  const third = await type(
    { ...quill, givenName: 'Quillan', phone: '202-555-0199', email: null, reason: 'Both feet' },
    'k3',
  )
  expect(
    await db.select().from(patientMatches).where(eq(patientMatches.referralId, third.referralId)),
  ).not.toHaveLength(0)
  await decideMatch(ctx, { referralId: fresh.referralId, candidateId, decision: 'same' })
  const asked = await db.select().from(patientMatches).where(eq(patientMatches.referralId, third.referralId))
  expect(asked.map((row) => row.candidateId)).toEqual([candidateId])
})

test('details typed over a newer record show both and lose neither', async () => {
  const { referralId } = await type(quill, 'k1')
  const form = { referralId, version: 1, mayEmailDetails: false, preferredSiteId: null }
  const theirs = await editPatient(ctx, { ...form, raw: { ...quill, phone: '202-555-0111' } })
  expect(theirs).toMatchObject({ ok: true, value: { version: 2 } })
  const yours = await editPatient(ctx, { ...form, raw: { ...quill, phone: '202-555-0122' } })
  expect(yours).toMatchObject({
    ok: false,
    error: { code: 'stale', version: 2, theirs: { phone: '+12025550111' }, yours: { phone: '+12025550122' } },
  })
  const [patient] = await db.select().from(patients)
  expect(patient?.phone).toBe('+12025550111')
})

test('where somebody would rather come to is one of the sites, or nothing is saved', async () => {
  const { referralId } = await type(quill, 'k1')
  const form = { referralId, version: 1, mayEmailDetails: false, raw: quill }
  expect(await editPatient(ctx, { ...form, preferredSiteId: 'sit_moon' })).toEqual({
    ok: false,
    error: { code: 'no_such_site' },
  })
  expect((await editPatient(ctx, { ...form, preferredSiteId: 'sit_nj' })).ok).toBe(true)
  expect(await db.select({ site: patients.preferredSiteId }).from(patients)).toEqual([{ site: 'sit_nj' }])
})

test('a closed referral leaves the desk with its reason, and its open tasks end', async () => {
  const { fresh } = await twoWhoMayBeOne()
  await closeReferral(ctx, { referralId: fresh.referralId, because: 'Went elsewhere' })
  const desk = await readDesk(ctx, { show: null })
  expect(desk).toMatchObject({ ok: true, value: { counts: { open: 1 } } })
  expect(await db.select().from(tasks).where(eq(tasks.referralId, fresh.referralId))).toMatchObject([
    { doneNote: 'Went elsewhere' },
  ])
})

test('a referral that is opened again comes back with the question that was open, and with both reasons on file', async () => {
  const { fresh } = await twoWhoMayBeOne()
  const { referralId } = fresh
  await closeReferral(ctx, { referralId, because: 'Went elsewhere' })
  const again = { referralId, because: 'Came back to us' }
  expect(await reopenReferral(ctx, again)).toEqual({ ok: true, value: { referralId } })
  // Sent twice, it is opened once.
  expect(await reopenReferral(ctx, again)).toEqual({ ok: true, value: { referralId } })
  expect(await readReferral(ctx, { referralId })).toMatchObject({
    value: { step: 'decide_match', referral: { stage: 'received', closedBecause: null } },
  })
  const open = await db
    .select()
    .from(tasks)
    .where(and(eq(tasks.referralId, referralId), isNull(tasks.doneAt)))
  expect(open.map(({ kind }) => kind)).toEqual(['match'])
  const lines = await db.select().from(auditEvents).where(eq(auditEvents.action, 'referral.reopened'))
  expect(lines).toMatchObject([{ before: { closedBecause: 'Went elsewhere' }, after: { because: 'Came back to us' } }])
})

// Privacy guarantee: what belongs to another clinic cannot be told from what is not there.
test('a referral of another clinic looks the same as a missing one', async () => {
  const { referralId } = await type(quill, 'k1')
  const stranger = contextFor(db, { actor: { ...coordinator, clinicId: 'cln_2' } })
  expect(await readReferral(stranger, { referralId })).toEqual(await readReferral(stranger, { referralId: 'ref_none' }))
  expect(await closeReferral(stranger, { referralId, because: 'none of theirs' })).toEqual({
    ok: false,
    error: { code: 'referral_not_found' },
  })
  expect(
    await db
      .select()
      .from(referrals)
      .where(and(eq(referrals.clinicId, CLINIC), eq(referrals.stage, 'closed'))),
  ).toEqual([])
})

test('an admin may not read patients, and a clinician may not bring in a file', async () => {
  expect(await readDesk(contextFor(db, { actor: { ...coordinator, role: 'admin' } }), { show: null })).toEqual({
    ok: false,
    error: { code: 'not_allowed' },
  })
  expect(await bring([quill], 'k1', contextFor(db, { actor: { ...coordinator, role: 'clinician' } }))).toEqual({
    ok: false,
    error: { code: 'not_allowed' },
  })
})

const GIVEN = ['Quillon', 'Maris', 'Oswin', 'Tamsin', 'Verity', 'Corwin', 'Ysolde', 'Bram', 'Linnea', 'Fenwick']
const SYLLABLES = [
  'sam',
  'tes',
  'moc',
  'pla',
  'dum',
  'exa',
  'fau',
  'lor',
  'vin',
  'ket',
  'ros',
  'bel',
  'gar',
  'hol',
  'nim',
  'wod',
]

/** A town: 10 first names, 4096 last names, 25 000 days to be born on, spread without a pattern but always the same. */
function town(size: number): RawReferral[] {
  let state = 1
  /** Park and Miller's generator (Communications of the ACM 31, 1988): multiplier 48271, modulus 2^31 - 1. */
  const pick = (count: number) => {
    state = (state * 48_271) % 2_147_483_647
    return state % count
  }
  const day = Temporal.PlainDate.from('1935-01-01')
  return Array.from({ length: size }, (_, n) => ({
    externalId: `R-${n}`,
    givenName: `${GIVEN[pick(10)]}`,
    familyName: [0, 1, 2].map(() => SYLLABLES[pick(16)]).join(''),
    birthDate: day.add({ days: pick(25_000) }).toString(),
    phone: `+1202${String(2_000_000 + n)}`,
    email: `p${n}@example.org`,
    state: 'CO',
    addressLine: `${n} Example Street`,
    city: 'Sampleton',
    postalCode: '80000',
    receivedOn: '2026-02-27',
    reason: `Ankle pain for ${n % 50} weeks and worse on stairs`,
    side: 'left',
  }))
}

test('a file of 5 MB comes in whole, well within a minute', { timeout: 240_000 }, async () => {
  const bytes = csv(town(30_000))
  expect(bytes.length).toBeGreaterThan(5 * 1024 * 1024)
  // The process's own work, because how long others keep it waiting says nothing about it.
  const before = process.cpuUsage()
  const result = await importReferrals(ctx, { key: 'k1', kind: 'csv', fileName: 'town.csv', bytes })
  const { user, system } = process.cpuUsage(before)
  expect(result).toMatchObject({ ok: true, value: { added: 30_000, known: 0, faults: 0 } })
  expect((user + system) / 1e6).toBeLessThan(60)
})
