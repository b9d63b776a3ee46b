/** The queue and the worker as they run, on both databases, against a real mail server. */
import { eq } from 'drizzle-orm'
import { afterEach, beforeEach, expect, test } from 'vitest'
import type { Database, Db } from '#db/client.ts'
import { homeChecks, messages, standbyOffers, tasks } from '#db/schema/index.ts'
import { deliveryPorts } from '#lib/adapters/delivery-ports.ts'
import { Temporal } from '#lib/base/time.ts'
import type { MessageKind } from '#lib/domain/messages/kinds.ts'
import { openQueue, QUEUES, type Queue } from '#lib/jobs/queue.ts'
import { startWorker } from '#lib/jobs/worker.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { inviteHomeCheck } from '#lib/usecases/invite-home-check.ts'
import { joinStandby } from '#lib/usecases/join-standby.ts'
import { queueMessages } from '#lib/usecases/steps/queue-messages.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, NOW } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { type MailServer, startMailServer } from '#tests/support/mail-server.ts'

let database: Database
let db: Db
let server: MailServer
let queue: Queue
let stops: (() => unknown)[]

beforeEach(async () => {
  database = await emptyDb()
  db = database.db
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  await db.update(homeChecks).set({ finishedAt: null })
  server = await startMailServer()
  // Tried again after a second and given up after two tries: the rhythm is the queue's, the numbers are the test's.
  queue = await openQueue(database, { works: true, retries: { retryLimit: 2, retryDelay: 1, retryDelayMax: 1 } })
  stops = [() => queue.close()]
})
afterEach(async () => {
  for (const stop of stops.reverse()) await stop()
  await server.stop()
})

const now = () => Temporal.Instant.from(NOW)
const context = (ids = ''): Ctx => ({ ...contextFor(db, { ids }), queue: queue.port })

async function work(): Promise<void> {
  const ports = deliveryPorts({
    smtpUrl: server.url,
    dataDir: '/nowhere',
    mailFrom: 'Farstep <visits@example.org>',
    baseUrl: 'https://visits.example.org',
  })
  stops.push(await startWorker(database, queue, { ...ports, now }))
  stops.push(() => ports.mail.close())
}

/** A message that only has to be sent. Seek help is urgent, an invitation is not. */
const plan = (kind: MessageKind, key: string, dueAt = now()) => ({
  kind,
  referralId: 'ref_1',
  visitId: null,
  dueAt,
  dedupeKey: kind === 'seek_help' ? `seek_help|ref_1|${key}` : `${kind}|ref_1|${now().epochMilliseconds / 1000}|${key}`,
})
const statuses = async () => (await db.select().from(messages)).map(({ status }) => status).sort()
const settled = (...expected: string[]) => expect.poll(statuses, { timeout: 15_000, interval: 100 }).toEqual(expected)

test('what a transaction caused is sent, and what it rolled back never was', async () => {
  await work()
  await db
    .transaction(async (tx) => {
      await queueMessages(tx, context('undone'), [plan('seek_help', 'undone')])
      throw new Error('undo')
    })
    .catch(() => {})
  await db.transaction((tx) => queueMessages(tx, context(), [plan('seek_help', 'kept')]))
  await settled('sent')
  expect(server.kept).toHaveLength(1)
})

test('a busy server is tried again until it takes the mail, once', async () => {
  server.behave({ at: 'data', code: 451 })
  await work()
  await db.transaction((tx) => queueMessages(tx, context(), [plan('seek_help', '1')]))
  await expect
    .poll(async () => (await db.select().from(messages))[0]?.attempts, { timeout: 15_000, interval: 100 })
    .toBeGreaterThan(0)
  server.behave('accept')
  await settled('sent')
  expect(server.kept).toHaveLength(1)
})

test('a server that stays busy through every try leaves a task with the reason, and no mail', async () => {
  server.behave({ at: 'rcpt', code: 450 })
  await work()
  await db.transaction((tx) => queueMessages(tx, context(), [plan('seek_help', '1')]))
  await settled('failed')
  expect(await db.select().from(messages)).toMatchObject([{ fault: 'tries_used_up', attempts: 3 }])
  expect(await db.select().from(tasks)).toMatchObject([{ kind: 'message_failed', referralId: 'ref_1' }])
})

test('one mail that is refused does not hold up the others', async () => {
  await addReferral(db, { id: 'ref_2' })
  await work()
  server.behave({ at: 'rcpt', code: 550, only: 'ref_2@example.org' })
  await db.transaction((tx) =>
    queueMessages(tx, context(), [
      { ...plan('seek_help', '2'), referralId: 'ref_2' },
      ...['a', 'b', 'c'].map((key) => plan('seek_help', key)),
    ]),
  )
  await settled('failed', 'sent', 'sent', 'sent')
})

test('a line that broke after the server took the mail brings it once more, recognisable as the same', async () => {
  server.behave({ at: 'drop', isKept: true })
  await work()
  await db.transaction((tx) => queueMessages(tx, context(), [plan('seek_help', '1')]))
  await expect.poll(() => server.kept.length, { timeout: 15_000, interval: 20 }).toBe(1)
  server.behave('accept')
  await settled('sent')
  expect(server.kept.length).toBe(2)
  expect(new Set(server.kept.map(({ messageId }) => messageId)).size).toBe(1)
})

test('a server that lets one mail wait does not hold up the others, nor gets that one twice', async () => {
  await addReferral(db, { id: 'ref_2' })
  const { promise: until, resolve: goOn } = Promise.withResolvers<void>()
  server.behave({ at: 'hold', until, only: 'ref_2@example.org' })
  await db.transaction((tx) =>
    queueMessages(tx, context(), [
      { ...plan('seek_help', '2'), referralId: 'ref_2' },
      ...['a', 'b', 'c'].map((key) => plan('seek_help', key)),
    ]),
  )
  await work()
  await settled('queued', 'sent', 'sent', 'sent')
  goOn()
  await settled('sent', 'sent', 'sent', 'sent')
  expect(server.kept).toHaveLength(4)
})

test('the most urgent of many goes out first, though it came last', async () => {
  const many = Array.from({ length: 25 }, (_, n) => plan('home_check_chaser', String(n)))
  await db.update(homeChecks).set({ invitedAt: now() })
  await db.transaction((tx) => queueMessages(tx, context(), [...many, plan('seek_help', 'last')]))
  await work()
  await settled(...Array(26).fill('sent'))
  // Five mails leave at a time; it is in the first handful.
  const first = server.kept.slice(0, 5).map(({ subject }) => subject)
  expect(first).toContain('Please read this now')
})

test('what is not yet due stays where it is, and silence becomes a phone call when its time comes', async () => {
  await db.update(homeChecks).set({ invitedAt: null })
  // The queue's clock is the real one: an invitation of the year 2100 lies ahead of it, the silence after one of 2026 behind.
  const later = Temporal.Instant.from('2100-01-01T12:00:00Z')
  await db.transaction((tx) => queueMessages(tx, context('late'), [plan('home_check_chaser', 'late', later)]))
  await inviteHomeCheck(context(), { referralId: 'ref_1' })
  await work()
  await expect
    .poll(async () => (await db.select().from(tasks)).map(({ kind }) => kind), { timeout: 15_000, interval: 100 })
    .toEqual(['phone_home_check'])
  const [waiting] = await db.select().from(messages).where(eq(messages.dueAt, later))
  expect(waiting?.status).toBe('queued')
})

test('a referral without a start in time is looked at once, however often that was asked for', async () => {
  await addReferral(db, { id: 'ref_late', seeBy: NOW })
  await db.transaction(async (tx) => {
    for (const _ of [1, 2, 3]) await queue.port.enqueueSeeByWatch(tx, { clinicId: CLINIC, referralId: 'ref_late' })
  })
  const waiting = await queue.boss.findJobs(QUEUES.seeByWatch)
  expect(waiting).toHaveLength(1)
  await work()
  const kinds = async () => (await db.select({ kind: tasks.kind }).from(tasks)).map(({ kind }) => kind)
  await expect.poll(kinds, { timeout: 15_000, interval: 100 }).toEqual(['see_by_breach'])
})

test('time that came free is offered by the worker, and the offer is sent', async () => {
  await addReferral(db, { id: 'ref_waits' })
  await joinStandby(context('w'), { referralId: 'ref_waits', noticeHours: 24 })
  const [from, to] = ['2026-03-10T13:00:00Z', '2026-03-10T14:00:00Z'].map((text) => Temporal.Instant.from(text))
  if (!from || !to) throw new Error('two instants')
  await db.transaction((tx) =>
    queue.port.enqueueFreedTime(tx, { clinicId: CLINIC, clinicianId: 'cli_ames', from, to, dueAt: now() }),
  )
  await work()
  await expect
    .poll(() => server.kept.map(({ subject }) => subject), { timeout: 15_000, interval: 100 })
    .toEqual(['You can have a sooner visit'])
  expect(await db.select().from(standbyOffers)).toMatchObject([{ referralId: 'ref_waits', outcome: null }])
})
