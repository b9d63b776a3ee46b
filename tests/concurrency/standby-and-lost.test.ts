/** Several processes on one PostgreSQL server answer the same offer, run the same job, approve the same lost session. */
import { eq } from 'drizzle-orm'
import { afterAll, beforeAll, beforeEach, expect, test } from 'vitest'
import { type Database, openDatabase } from '#db/client.ts'
import { auditEvents, messages, sessionExceptions, standbyOffers, visits } from '#db/schema/index.ts'
import { highsSolver } from '#lib/adapters/highs-solver.ts'
import { bookVisit } from '#lib/usecases/book-visit.ts'
import { cancelVisit } from '#lib/usecases/cancel-visit.ts'
import { joinStandby } from '#lib/usecases/join-standby.ts'
import { planReplacement } from '#lib/usecases/plan-replacement.ts'
import { linesOf, startChild } from '#tests/soak/child.ts'
import { addReferral, addSmallClinic, contextFor } from '#tests/support/clinic.ts'
import { newServerDb, resetDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'
import type { Came, Deed } from './doer.ts'

const PROCESSES = 4
const NINE = '2026-03-10T13:00:00Z'

let url: string
let database: Database

beforeAll(async () => {
  url = await newServerDb('together')
  database = await openDatabase({ databaseUrl: url, dataDir: null })
})

afterAll(async () => {
  await database?.close()
})

beforeEach(async () => {
  await resetDb(database)
  await addSmallClinic(database.db)
})

/** Starts a process for each deed, waits until all are ready, and lets them go at once. */
async function together(deeds: readonly Deed[]): Promise<Came[]> {
  const file = new URL('doer.ts', import.meta.url).pathname
  const doers = deeds.map((deed, n) => startChild(file, [url, `p${n}`, JSON.stringify(deed)]))
  const heard = doers.map(linesOf)
  await Promise.all(heard.map((lines) => lines.next()))
  for (const doer of doers) doer.stdin?.end('go\n')
  return Promise.all(heard.map(async (lines) => JSON.parse((await lines.next()).value ?? 'null') as Came))
}

const same = (deed: Deed) => Array.from({ length: PROCESSES }, () => deed)

async function book(id: string, startsAt: string): Promise<string> {
  await addReferral(database.db, { id })
  const start = asking(startsAt)
  const booked = await bookVisit(contextFor(database.db, { ids: id }), {
    key: `book ${id}`,
    referralId: id,
    heldVisitId: null,
    start,
  })
  if (!booked.ok) throw new Error(booked.error.code)
  return booked.value.visitId
}

/** Two wait; the morning of the tenth has come free. */
async function freeMorning(): Promise<Deed> {
  const gone = await book('ref_gone', NINE)
  await book('ref_1', '2026-03-31T13:00:00Z')
  await book('ref_2', '2026-03-31T13:45:00Z')
  for (const referralId of ['ref_1', 'ref_2'])
    await joinStandby(contextFor(database.db, { ids: `_wait_${referralId}` }), { referralId, noticeHours: 24 })
  const cancel = { key: 'cancel ref_gone', visitId: gone, version: 1, because: 'They called' }
  await cancelVisit(contextFor(database.db, { ids: 'c' }), cancel)
  return { kind: 'offer', clinicianId: 'cli_ames', from: NINE, to: '2026-03-10T13:45:00Z' }
}

const offers = () => database.db.select().from(standbyOffers)

test('the same job in several processes offers a start once', { timeout: 60_000 }, async () => {
  const job = await freeMorning()
  await together(same(job))
  const made = await offers()
  expect(made.filter(({ startsAt }) => startsAt.toString() === NINE)).toHaveLength(1)
  expect(new Set(made.map(({ referralId }) => referralId)).size).toBe(made.length)
  const held = await database.db.select().from(visits).where(eq(visits.status, 'held'))
  expect(held).toHaveLength(made.length)
})

test('of several answers to one offer the first counts, and the others are told that it is over', {
  timeout: 60_000,
}, async () => {
  const job = await freeMorning()
  await together([job])
  const [offer] = await offers()
  const came = await together(same({ kind: 'accept', offerId: offer?.id ?? '' }))
  expect(came.map(({ code }) => code).sort()).toEqual([null, 'offer_over', 'offer_over', 'offer_over'].sort())
  expect(await database.db.select().from(messages).where(eq(messages.kind, 'moved'))).toHaveLength(1)
  expect(await database.db.select().from(auditEvents).where(eq(auditEvents.action, 'offer.accepted'))).toHaveLength(1)
})

test('an offer that runs out in several processes at once runs out once', { timeout: 60_000 }, async () => {
  const job = await freeMorning()
  await together([job])
  const [offer] = await offers()
  const now = offer?.expiresAt.toString() ?? ''
  const came = await together(same({ kind: 'expire', offerId: offer?.id ?? '', now }))
  expect(came.filter(({ value }) => (value as { hasExpired: boolean }).hasExpired)).toHaveLength(1)
  expect(await database.db.select().from(auditEvents).where(eq(auditEvents.action, 'offer.expired'))).toHaveLength(1)
})

test('a lost session that several people approve at once is moved once', { timeout: 60_000 }, async () => {
  await book('ref_1', NINE)
  await book('ref_2', '2026-03-10T13:45:00Z')
  const lost = { kind: 'opening', onDate: '2026-03-10' } as const
  const asked = { sessionId: 'ses_ames_video', lost, decided: {} }
  const plan = await planReplacement(contextFor(database.db), highsSolver(), asked)
  if (!plan.ok) throw new Error(plan.error.code)
  const moves = plan.value.moves.map(({ visitId, version, after }) => ({
    visitId,
    version,
    start: after && {
      sessionId: after.sessionId,
      clinicianId: after.clinicianId,
      mode: after.mode,
      startsAt: after.startsAt,
      roomId: after.roomId,
      interpreterId: after.interpreterId,
      released: [],
    },
  }))
  const input = { sessionId: asked.sessionId, lost, because: 'Ill', version: plan.value.session.version, visits: moves }
  const came = await together(same({ kind: 'replace', input }))
  expect(came.filter(({ ok }) => ok)).toHaveLength(1)
  expect(new Set(came.filter(({ ok }) => !ok).map(({ code }) => code))).toEqual(new Set(['changed_meanwhile']))
  expect(await database.db.select().from(sessionExceptions)).toHaveLength(1)
  expect(await database.db.select().from(messages).where(eq(messages.kind, 'moved'))).toHaveLength(2)
})
