/**
 * The outbox under stress, against a real mail server. `outboxKilled`: workers are killed (SIGKILL) between the server's yes
 * and the database's commit; nothing may be lost, and what comes twice must be recognisable as the same. `outboxRush`: very
 * many messages are due at once, and the most urgent, written last, must go out first.
 */
import { once as onceEvent } from 'node:events'
import { sql } from 'drizzle-orm'
import { type Database, type DatabaseSettings, openDatabase, rawRows } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { homeChecks } from '#db/schema/index.ts'
import { deliveryPorts } from '#lib/adapters/delivery-ports.ts'
import { Temporal } from '#lib/base/time.ts'
import type { MessageKind } from '#lib/domain/messages/kinds.ts'
import { openQueue, QUEUES, type RetryRhythm } from '#lib/jobs/queue.ts'
import { startWorker } from '#lib/jobs/worker.ts'
import { queueMessages } from '#lib/usecases/steps/queue-messages.ts'
import { randomFrom } from '#tests/domain/plan/random-plans.ts'
import { addReferral, addSmallClinic, contextFor, NOW } from '#tests/support/clinic.ts'
import { startMailServer } from '#tests/support/mail-server.ts'
import { linesOf, startChild } from './child.ts'

/** So that a test need not wait out the rhythm of real life. */
export const RETRY_AT_ONCE: RetryRhythm = { retryLimit: 12, retryDelay: 1, retryDelayMax: 1 }

export type KilledOutbox = {
  /** Messages that never reached the mail server. */
  lost: number
  /** Mails beyond the first of each message, under the same Message-ID. */
  repeats: number
  /** How often the message came that came most often. */
  mostOfOne: number
  /** Messages that the database says were sent, and its lines about them: one each. */
  sent: number
  lines: number
}

export async function outboxKilled(
  settings: DatabaseSettings,
  { messages, kills, seed }: { messages: number; kills: number; seed: number },
): Promise<KilledOutbox> {
  const random = randomFrom(seed)
  await within(settings, async (database) => {
    await migrate(database)
    await fill(database, { home_check_chaser: messages })
  })
  const server = await startMailServer()
  const file = new URL('outbox-sender.ts', import.meta.url).pathname
  try {
    for (let kill = 0; kill <= kills; kill += 1) {
      const left = messages - new Set(server.kept.map(({ messageId }) => messageId)).size
      const holdAt = kill < kills ? String(1 + Math.floor((random() * left) / (kills + 1))) : ''
      const child = startChild(file, [JSON.stringify(settings), server.url, holdAt])
      const exited = onceEvent(child, 'exit')
      if (kill < kills) {
        await linesOf(child).next()
        child.kill('SIGKILL')
      }
      await exited
      await within(settings, missDead)
    }
    const times = new Map<string, number>()
    for (const { messageId = '' } of server.kept) times.set(messageId, (times.get(messageId) ?? 0) + 1)
    const stored = await within(settings, async ({ db }) => {
      const [row] = await rawRows<{ sent: number; lines: number }>(
        db,
        sql`select (select count(*)::int from messages where status = 'sent') as sent,
          (select count(*)::int from audit_events where action = 'message.sent') as lines`,
      )
      return row ?? { sent: -1, lines: -1 }
    })
    return {
      lost: messages - times.size,
      repeats: server.kept.length - times.size,
      mostOfOne: Math.max(...times.values()),
      ...stored,
    }
  } finally {
    await server.stop()
  }
}

/** The queue's upkeep misses workers that are not heard of any more; here their last word, and its own round, are long ago. */
async function missDead(database: Database): Promise<void> {
  const queue = await openQueue(database, { works: true, retries: RETRY_AT_ONCE })
  await database.db.execute(
    sql`update pgboss.queue set monitor_on = null, monitor_claim_on = null where name = ${QUEUES.message}`,
  )
  await database.db.execute(
    sql`update pgboss.job set heartbeat_on = now() - interval '1 hour' where name = ${QUEUES.message} and state = 'active'`,
  )
  await queue.boss.supervise(QUEUES.message)
  await queue.close()
}

export type RushedOutbox = {
  received: number
  /** How many mails had come in when the last urgent one had. */
  urgentWithin: number
  perSecond: number
}

export async function outboxRush(
  settings: DatabaseSettings,
  { messages, urgent }: { messages: number; urgent: number },
): Promise<RushedOutbox> {
  const server = await startMailServer()
  const database = await openDatabase(settings)
  const ports = deliveryPorts({
    smtpUrl: server.url,
    dataDir: '/nowhere',
    mailFrom: 'visits@example.org',
    baseUrl: 'https://v.example.org',
  })
  try {
    await migrate(database)
    await fill(database, { home_check_chaser: messages - urgent, seek_help: urgent })
    const queue = await openQueue(database, { works: true })
    const before = performance.now()
    const stop = await startWorker(database, queue, { ...ports, now: () => Temporal.Instant.from(NOW) })
    while (server.kept.length < messages) await new Promise((resolve) => setTimeout(resolve, 50))
    const seconds = (performance.now() - before) / 1000
    await stop()
    await queue.close()
    const isUrgent = server.kept.map(({ subject }) => subject === 'Please read this now')
    return {
      received: server.kept.length,
      urgentWithin: isUrgent.lastIndexOf(true) + 1,
      perSecond: Math.round(messages / seconds),
    }
  } finally {
    ports.mail.close()
    await database.close()
    await server.stop()
  }
}

/** A small clinic with so many messages of each kind, due now, written in this order. */
async function fill(database: Database, counts: Partial<Record<MessageKind, number>>): Promise<void> {
  const { db } = database
  await addSmallClinic(db)
  await addReferral(db, { id: 'ref_1' })
  const now = Temporal.Instant.from(NOW)
  await db.update(homeChecks).set({ invitedAt: now, finishedAt: null })
  const queue = await openQueue(database, { works: false })
  const ctx = { ...contextFor(db), queue: queue.port }
  const about = { referralId: 'ref_1', visitId: null, dueAt: now }
  for (const [kind, count] of Object.entries(counts) as [MessageKind, number][]) {
    const planned = Array.from({ length: count }, (_, n) => ({
      ...about,
      kind,
      dedupeKey: `${kind}|ref_1|${now.epochMilliseconds / 1000}|${n}`,
    }))
    // A few hundred at a time, as a morning's work would write them.
    for (let from = 0; from < count; from += 500)
      await db.transaction((tx) => queueMessages(tx, ctx, planned.slice(from, from + 500)))
  }
  await queue.close()
}

async function within<T>(settings: DatabaseSettings, work: (database: Database) => Promise<T>): Promise<T> {
  const database = await openDatabase(settings)
  try {
    return await work(database)
  } finally {
    await database.close()
  }
}
