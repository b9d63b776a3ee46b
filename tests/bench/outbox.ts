/**
 * How many messages a second does the worker drain, with everything that belongs to one (read again what is true, a
 * personal link, the letter rendered, audit line, settled only after the server took it), beside a bare loop that hands
 * finished mails to the same server over as many connections? On a PostgreSQL server where there is one, else embedded.
 */
import { sql } from 'drizzle-orm'
import nodemailer from 'nodemailer'
import { SMTPServer } from 'smtp-server'
import { rawRows } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { homeChecks } from '#db/schema/index.ts'
import { deliveryPorts } from '#lib/adapters/delivery-ports.ts'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { messagesForInvitation } from '#lib/domain/messages/schedule.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { openQueue } from '#lib/jobs/queue.ts'
import { startWorker } from '#lib/jobs/worker.ts'
import { queueMessages } from '#lib/usecases/steps/queue-messages.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, NOW } from '../support/clinic.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'
import { openSomewhere } from './open-somewhere.ts'

/** As many as the worker sends at the same time. */
const AT_ONCE = 5

/** Drains `messages` home-check chasers, then sends as many finished mails bare. */
export async function rows(options: BenchOptions = {}): Promise<BenchRow[]> {
  const { messages = 1000 } = options
  const { database, stop } = await openSomewhere()
  const server = await startSink()
  const mail = {
    smtpUrl: server.url,
    dataDir: '/nowhere',
    mailFrom: 'clinic@farstep.example.org',
    baseUrl: server.base,
  }
  const ports = deliveryPorts(mail)
  try {
    await migrate(database)
    await addSmallClinic(database.db)
    await addReferral(database.db, { id: 'ref_0' })
    const queue = await openQueue(database, { works: true })
    const now = Temporal.Instant.from(NOW)
    const ctx = { ...contextFor(database.db), queue: queue.port }
    await database.db.update(homeChecks).set({ invitedAt: now, finishedAt: null })
    // One invitation with as many chasers as are wanted, all of them due.
    const chaseAfterDays = Array.from({ length: messages - 1 }, (_, n) => n + 1)
    const policy = { ...DEFAULT_POLICY, messages: { ...DEFAULT_POLICY.messages, chaseAfterDays } }
    const planned = messagesForInvitation({ referralId: 'ref_0', policy, zone: 'America/New_York', now })
    await database.db.transaction((tx) =>
      queueMessages(
        tx,
        ctx,
        planned.map((message) => ({ ...message, dueAt: now })),
      ),
    )
    const before = performance.now()
    const end = await startWorker(database, queue, { ...ports, now: () => now })
    while ((await countQueued(database.db)) > 0) await new Promise((resolve) => setTimeout(resolve, 20))
    const ours = (messages * 1000) / (performance.now() - before)
    await end()
    await queue.close()
    invariant(server.received().length === messages, 'every message reached the server, once')

    const finished = server.received()
    const bare = await sendBare(server.url, finished)
    return [
      {
        id: 'outbox',
        perSecond: ours,
        ratio: ours / bare,
        rival: `a bare nodemailer loop, ${Math.round(bare)}/s`,
        note: `ratio = ours ÷ bare; ${database.kind}, ${messages} messages, ${AT_ONCE} at a time, the same server`,
      },
    ]
  } finally {
    ports.mail.close()
    await server.stop()
    await database.close()
    await stop()
  }
}

async function countQueued(db: Parameters<typeof rawRows>[0]): Promise<number> {
  const [row] = await rawRows<{ n: number }>(
    db,
    sql`select count(*)::int as n from messages where clinic_id = ${CLINIC} and status = 'queued'`,
  )
  return row?.n ?? 0
}

/** The same bytes again, by the same library and as many connections, and nothing else. */
async function sendBare(url: string, mails: readonly Buffer[]): Promise<number> {
  const transport = nodemailer.createTransport({ url, pool: true, maxConnections: AT_ONCE })
  const envelope = { from: 'clinic@farstep.example.org', to: 'patient@farstep.example.org' }
  const before = performance.now()
  const waiting = mails.values()
  await Promise.all(
    Array.from({ length: AT_ONCE }, async () => {
      for (const raw of waiting) await transport.sendMail({ raw, envelope })
    }),
  )
  const perSecond = (mails.length * 1000) / (performance.now() - before)
  transport.close()
  return perSecond
}

/** A server that takes everything and keeps the bytes. */
async function startSink() {
  const received: Buffer[] = []
  const server = new SMTPServer({
    authOptional: true,
    disabledCommands: ['STARTTLS', 'AUTH'],
    logger: false,
    closeTimeout: 200,
    async onData(stream, _session, done) {
      const parts: Buffer[] = []
      for await (const part of stream) parts.push(part as Buffer)
      received.push(Buffer.concat(parts))
      done()
    },
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  const address = server.server.address()
  invariant(typeof address === 'object' && address !== null, 'the server has a port')
  return {
    url: `smtp://127.0.0.1:${address.port}`,
    base: 'http://localhost:3000',
    received: () => [...received],
    stop: () => new Promise<void>((resolve) => server.close(() => resolve())),
  }
}
