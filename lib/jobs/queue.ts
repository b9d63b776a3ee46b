/**
 * The durable queue (pg-boss), on whichever database there is. A job is written by the transaction that causes it, so it
 * exists exactly when its cause does; it carries ids only, and whoever takes it reads the rest again.
 */
import { sql } from 'drizzle-orm'
import { type Queue as BossQueue, fromDrizzle, PgBoss } from 'pg-boss'
import type { Database, Db } from '#db/client.ts'
import { logFailure } from '#lib/base/log.ts'
import type { QueuePort } from '#lib/usecases/context.ts'

export const QUEUES = {
  message: 'deliver_message',
  givenUp: 'give_up_message',
  phoneTask: 'open_phone_task',
  seeByWatch: 'watch_see_by',
  seeBySweep: 'sweep_see_by',
  freedTime: 'offer_freed_time',
  offerEnd: 'end_offer',
  figures: 'keep_figures',
} as const

export type MessageJob = { clinicId: string; messageId: string }
export type SeeByWatchJob = { clinicId: string; referralId: string }
export type PhoneTaskJob = { clinicId: string; referralId: string; invitation: string }

/** Instants as ISO text. */
export type FreedTimeJob = { clinicId: string; clinicianId: string; from: string; to: string }
export type OfferEndJob = { clinicId: string; offerId: string }

/** How often and how far apart a message is tried again. */
export type RetryRhythm = { retryLimit: number; retryDelay: number; retryDelayMax: number }

/** Twelve more tries over about six hours: half a minute, a minute, two, … up to an hour apart. */
const RETRIES: RetryRhythm = { retryLimit: 12, retryDelay: 30, retryDelayMax: 3600 }

/** A handler that has not come back by then is taken for dead, and the job is given out again. */
const EXPIRE_SECONDS = 120

/**
 * A worker with many mails in hand and a slow server may take long, so its jobs are held for as long as it is heard of: one
 * that was killed is missed after half a minute, while one that lives is not sent a second time behind its back.
 */
const MAIL_LIFE = { expireInSeconds: 3600, heartbeatSeconds: 30 }

/** However long nobody worked: what was due meanwhile is judged by us, and not thrown away by the queue. */
const KEEP_SECONDS = 2 * 365 * 24 * 3600

/** Urgent mail is taken first, whenever several messages wait. */
const PRIORITY = { urgent: 100, ordinary: 0 } as const

export type Queue = {
  port: QueuePort
  boss: PgBoss
  /** Waits for running jobs, then lets go of the database. */
  close(): Promise<void>
}

/**
 * Opens the queue. Whoever only sends (`works: false`) leaves the queue's upkeep to the workers. Every queue is made
 * here, before the first send: inside a transaction nothing but that transaction may be asked (PGlite has one connection).
 */
export async function openQueue(
  database: Database,
  { works, retries = RETRIES }: { works: boolean; retries?: RetryRhythm },
): Promise<Queue> {
  const boss = new PgBoss({
    ...database.bossOptions,
    useListenNotify: works,
    supervise: works,
    schedule: false,
  })
  // Errors of the queue's own upkeep; those of a job are the handler's.
  boss.on('error', (error) => logFailure('queue_upkeep_failed', error))
  await boss.start()
  const rhythm = {
    ...retries,
    retryBackoff: true,
    expireInSeconds: EXPIRE_SECONDS,
    retentionSeconds: KEEP_SECONDS,
    notify: true,
  }
  await makeQueue(boss, QUEUES.givenUp, rhythm)
  await makeQueue(boss, QUEUES.message, { ...rhythm, ...MAIL_LIFE, deadLetter: QUEUES.givenUp })
  await makeQueue(boss, QUEUES.phoneTask, rhythm)
  // One waiting job a referral, and none that is tried again: the next round looks anyway.
  await makeQueue(boss, QUEUES.seeByWatch, { ...rhythm, policy: 'short', retryLimit: 0 })
  await makeQueue(boss, QUEUES.seeBySweep, { ...rhythm, retryLimit: 0 })
  await makeQueue(boss, QUEUES.figures, { ...rhythm, retryLimit: 0 })
  await makeQueue(boss, QUEUES.freedTime, rhythm)
  await makeQueue(boss, QUEUES.offerEnd, rhythm)
  return { boss, port: queuePort(boss), close: () => boss.stop({ graceful: true, close: true }) }
}

type QueueOptions = Omit<BossQueue, 'name'>

/** A queue that is there already, made by an earlier version, takes on the rhythm of this one. */
async function makeQueue(boss: PgBoss, name: string, options: QueueOptions): Promise<void> {
  await boss.createQueue(name, options)
  const { policy: _, ...changeable } = options
  await boss.updateQueue(name, changeable)
}

function queuePort(boss: PgBoss): QueuePort {
  const within = (tx: Db) => fromDrizzle(tx as Parameters<typeof fromDrizzle>[0], sql)
  return {
    async enqueueMessages(tx, jobs) {
      const inserts = jobs.map(({ clinicId, messageId, dueAt, isUrgent }) => ({
        data: { clinicId, messageId } satisfies MessageJob,
        startAfter: dueAt.toString(),
        priority: isUrgent ? PRIORITY.urgent : PRIORITY.ordinary,
      }))
      await boss.insert(QUEUES.message, inserts, { db: within(tx) })
    },
    async enqueuePhoneTask(tx, { clinicId, referralId, invitation, dueAt }) {
      const job: PhoneTaskJob = { clinicId, referralId, invitation }
      await boss.send(QUEUES.phoneTask, job, { db: within(tx), startAfter: dueAt.toString() })
    },
    async enqueueSeeByWatch(tx, job: SeeByWatchJob) {
      await boss.send(QUEUES.seeByWatch, job, { db: within(tx), singletonKey: `${job.clinicId} ${job.referralId}` })
    },
    async enqueueFreedTime(tx, { clinicId, clinicianId, from, to, dueAt }) {
      const job: FreedTimeJob = { clinicId, clinicianId, from: from.toString(), to: to.toString() }
      await boss.send(QUEUES.freedTime, job, { db: within(tx), startAfter: dueAt.toString() })
    },
    async enqueueOfferEnd(tx, { clinicId, offerId, dueAt }) {
      const job: OfferEndJob = { clinicId, offerId }
      await boss.send(QUEUES.offerEnd, job, { db: within(tx), startAfter: dueAt.toString() })
    },
  }
}
