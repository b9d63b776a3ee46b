/** A personal link: what it opens, for whom, and what a stranger with it can't find out. */
import { eq } from 'drizzle-orm'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { auditEvents, clinics, patientLinks, patientSessions, rateCounters } from '#db/schema/index.ts'
import { secrets } from '#lib/adapters/secrets.ts'
import { Temporal } from '#lib/base/time.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { openLink } from '#lib/usecases/open-link.ts'
import { readLink } from '#lib/usecases/read-link.ts'
import { readPatientSession } from '#lib/usecases/read-patient-session.ts'
import { addReferral, addSmallClinic, CLINIC, NOW } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { as } from '#tests/support/home-check.ts'

const TOKEN = 'a-token-nobody-could-guess'
/** Of the small clinic's patients. */
const BORN = '1980-05-06'
const FROM = '192.0.2.7'
const clinic = (id = CLINIC) => ({ kind: 'system', clinicId: id, id: 'system' }) as const

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  await addLink('lnk_1', TOKEN)
})

async function addLink(id: string, token: string, change: Partial<typeof patientLinks.$inferInsert> = {}) {
  await db.insert(patientLinks).values({
    clinicId: CLINIC,
    id,
    referralId: 'ref_1',
    tokenHash: secrets.hashToken(token),
    createdAt: Temporal.Instant.from(NOW),
    expiresAt: Temporal.Instant.from(NOW).add({ hours: 60 * 24 }),
    ...change,
  })
}

function open(birthDate: string, options: { token?: string; from?: string | null; now?: string; in?: string } = {}) {
  const { token = TOKEN, from = FROM, now } = options
  return openLink(as(db, clinic(options.in), now), { token, birthDate, from })
}

const look = (token = TOKEN, clinicSlug = 'hudson', now = NOW) => readLink(as(db, clinic(), now), { clinicSlug, token })

test('looking at a link changes nothing: mail programs open links by themselves', async () => {
  const before = await db.select().from(patientLinks)
  expect(await look()).toMatchObject({ state: 'open', language: 'en' })
  expect(await db.select().from(patientLinks)).toEqual(before)
  expect(await db.select().from(patientSessions)).toEqual([])
  expect(await db.select().from(rateCounters)).toEqual([])
})

test('the right date of birth opens the one referral the link was made for', async () => {
  const opened = await open(BORN)
  if (!opened.ok) throw new Error(opened.error.code)
  const session = await readPatientSession(as(db, clinic()), opened.value.sessionToken)
  expect(session?.actor).toEqual({ kind: 'patient', clinicId: CLINIC, id: 'pat_of_ref_1', referralId: 'ref_1' })
  const [line] = await db.select().from(auditEvents).where(eq(auditEvents.action, 'link.opened'))
  expect(line).toMatchObject({ actorKind: 'patient', referralId: 'ref_1' })
})

test('what is stored opens nothing: neither the link nor the session is kept in clear', async () => {
  const opened = await open(BORN)
  if (!opened.ok) throw new Error(opened.error.code)
  const stored = JSON.stringify([await db.select().from(patientLinks), await db.select().from(patientSessions)])
  expect(stored).not.toContain(TOKEN)
  expect(stored).not.toContain(opened.value.sessionToken)
})

test('five wrong dates lock the link for good, whatever comes after', async () => {
  const answers = []
  for (let wrong = 0; wrong < 5; wrong += 1) answers.push(await open('1980-06-05'))
  expect(answers.map((answer) => (answer.ok ? 'opened' : answer.error))).toEqual([
    { code: 'birth_date_wrong', triesLeft: 4 },
    { code: 'birth_date_wrong', triesLeft: 3 },
    { code: 'birth_date_wrong', triesLeft: 2 },
    { code: 'birth_date_wrong', triesLeft: 1 },
    { code: 'link_locked' },
  ])
  expect(await open(BORN)).toEqual({ ok: false, error: { code: 'link_locked' } })
  expect(await open(BORN, { now: '2026-03-09T13:00:00Z' })).toEqual({ ok: false, error: { code: 'link_locked' } })
  expect(await look()).toMatchObject({ state: 'locked' })
  expect(await db.select().from(auditEvents).where(eq(auditEvents.action, 'link.locked'))).toHaveLength(1)
})

test('wrong dates before the right one are forgotten', async () => {
  for (let wrong = 0; wrong < 4; wrong += 1) await open('1980-06-05')
  expect((await open(BORN)).ok).toBe(true)
  expect(await open('1980-06-05')).toEqual({ ok: false, error: { code: 'birth_date_wrong', triesLeft: 4 } })
})

test('two wrong dates at the same moment count as two', async () => {
  await Promise.all([open('1980-06-05'), open('1980-06-05')])
  expect(await db.select().from(patientLinks)).toMatchObject([{ failedTries: 2 }])
})

// Privacy guarantee: nobody learns from an answer whether a link was ever made, or where.
test('unknown, ended, expired and another clinic’s links all look the same', async () => {
  await db.insert(clinics).values({
    id: 'cln_2',
    slug: 'elsewhere',
    name: 'Elsewhere',
    timeZone: 'America/New_York',
    phone: '(555) 555-0199',
    emergencyNumber: '911',
    policy: DEFAULT_POLICY,
    createdAt: Temporal.Instant.from(NOW),
  })
  await addLink('lnk_2', 'a-token-that-was-ended', { revokedAt: Temporal.Instant.from(NOW) })
  await addLink('lnk_3', 'a-token-that-has-expired', { expiresAt: Temporal.Instant.from(NOW) })
  const unknown = { ok: false, error: { code: 'link_unknown' } }
  expect(await open(BORN, { token: 'a-token-that-never-was' })).toEqual(unknown)
  expect(await open(BORN, { token: 'a-token-that-was-ended' })).toEqual(unknown)
  expect(await open(BORN, { token: 'a-token-that-has-expired' })).toEqual(unknown)
  expect(await open(BORN, { in: 'cln_2' })).toEqual(unknown)
  expect(await look(TOKEN, 'elsewhere')).toMatchObject({ state: 'unknown', language: 'en' })
  expect(await look('a-token-that-never-was')).toMatchObject({ state: 'unknown' })
  expect(await look(TOKEN, 'no-such-clinic')).toBeNull()
})

test('somebody who tries many links is stopped, and nobody else is', async () => {
  for (let guess = 0; guess < 30; guess += 1) await open(BORN, { token: `a-token-number-${guess}` })
  expect(await open(BORN)).toEqual({ ok: false, error: { code: 'too_many_tries' } })
  expect((await open(BORN, { from: '192.0.2.8' })).ok).toBe(true)
  expect((await open(BORN, { now: '2026-03-02T13:15:00Z' })).ok).toBe(true)
})

test('opening rightly is never counted against a household', async () => {
  for (let visit = 0; visit < 31; visit += 1) expect((await open(BORN)).ok).toBe(true)
})

test('where a caller came from is never stored in clear', async () => {
  await open('1980-06-05')
  expect(JSON.stringify(await db.select().from(rateCounters))).not.toContain(FROM)
})

test('a phone that lies still for half an hour has to open the link again, and half a day is the most', async () => {
  const opened = await open(BORN)
  if (!opened.ok) throw new Error(opened.error.code)
  const at = (now: string) => readPatientSession(as(db, clinic(), now), opened.value.sessionToken)
  expect(await at('2026-03-02T13:29:59Z')).not.toBeNull()
  expect(await at('2026-03-02T13:59:59Z')).toBeNull()
  for (let minute = 25; minute < 12 * 60; minute += 25) {
    await db.update(patientSessions).set({ lastSeenAt: Temporal.Instant.from(NOW).add({ minutes: minute }) })
  }
  expect(await at('2026-03-03T00:59:59Z')).not.toBeNull()
  expect(await at('2026-03-03T01:00:00Z')).toBeNull()
})

test('ending a link also ends the phones it was opened on', async () => {
  const opened = await open(BORN)
  if (!opened.ok) throw new Error(opened.error.code)
  await db.update(patientLinks).set({ revokedAt: Temporal.Instant.from(NOW) })
  expect(await readPatientSession(as(db, clinic()), opened.value.sessionToken)).toBeNull()
})
