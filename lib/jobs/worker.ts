/**
 * Takes what has fallen due from the queue and hands it to the use cases. As many of these may run as one likes: a job is
 * given to one of them at a time, and the use cases bear being handed the same one twice.
 */
import type { JobResult, JobWithMetadata } from 'pg-boss'
import type { Database } from '#db/client.ts'
import { listClinics } from '#db/queries/clinics.ts'
import { logFailure } from '#lib/base/log.ts'
import { safeError } from '#lib/base/safe-error.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Ctx, SecretPort } from '#lib/usecases/context.ts'
import { type Delivery, type DeliveryPorts, deliverMessages } from '#lib/usecases/deliver-messages.ts'
import { expireOffer } from '#lib/usecases/expire-offer.ts'
import { giveUpMessage } from '#lib/usecases/give-up-message.ts'
import { keepFigures } from '#lib/usecases/keep-figures.ts'
import { offerFreedTime } from '#lib/usecases/offer-freed-time.ts'
import { openPhoneTask } from '#lib/usecases/open-phone-task.ts'
import { sweepSeeBy } from '#lib/usecases/sweep-see-by.ts'
import { watchSeeBy } from '#lib/usecases/watch-see-by.ts'
import {
  type FreedTimeJob,
  type MessageJob,
  type OfferEndJob,
  type PhoneTaskJob,
  QUEUES,
  type Queue,
  type SeeByWatchJob,
} from './queue.ts'

export type WorkerPorts = DeliveryPorts & {
  secrets: SecretPort
  newId: Ctx['newId']
  now?: Ctx['now']
}

/** Mails read together: the more, the fewer ways to the database; the fewer, the sooner an urgent one gets its turn. */
const MAILS = 100
const BATCH = 20
/** How often everybody who waits for a visit is looked at again. */
const SWEEP_EVERY_S = 600
const POLLING = { pollingIntervalSeconds: 1, notifyPollingIntervalSeconds: 1, burstWhenBatchFull: true } as const

/** Begins to work the queue; returns what ends it, after the jobs in hand. */
export async function startWorker(database: Database, queue: Queue, ports: WorkerPorts): Promise<() => Promise<void>> {
  const { boss } = queue
  const ctxOf = (clinicId: string): Ctx => ({
    db: database.db,
    actor: { kind: 'system', clinicId, id: 'system' },
    now: ports.now ?? (() => Temporal.Now.instant()),
    newId: ports.newId,
    queue: queue.port,
    secrets: ports.secrets,
  })

  const batch = { batchSize: BATCH, perJobResults: true, includeMetadata: true, ...POLLING } as const
  const mails = { ...batch, batchSize: MAILS, localConcurrency: 2 } as const
  await boss.work<MessageJob, unknown, typeof mails>(QUEUES.message, mails, async (jobs) => {
    const clinics = Map.groupBy(byUrgency(jobs), ({ data }) => data.clinicId)
    const done = await Promise.all(
      [...clinics].map(([clinicId, its]) =>
        deliverMessages(ctxOf(clinicId), ports, { messageIds: [...new Set(its.map(({ data }) => data.messageId))] }),
      ),
    )
    const deliveries = new Map(done.flatMap((each) => [...each]))
    return jobs.map((job) => resultOf(job, deliveries.get(job.data.messageId)))
  })
  await boss.work<MessageJob, unknown, typeof batch>(QUEUES.givenUp, batch, (jobs) =>
    settleEach(jobs, async ({ data: { clinicId, messageId } }) => {
      await giveUpMessage(ctxOf(clinicId), { messageId })
    }),
  )
  await boss.work<PhoneTaskJob, unknown, typeof batch>(QUEUES.phoneTask, batch, (jobs) =>
    settleEach(jobs, async ({ data: { clinicId, ...job } }) => {
      await openPhoneTask(ctxOf(clinicId), job)
    }),
  )
  await boss.work<SeeByWatchJob, unknown, typeof batch>(QUEUES.seeByWatch, batch, (jobs) =>
    settleEach(jobs, async ({ data: { clinicId, referralId } }) => {
      await watchSeeBy(ctxOf(clinicId), { referralId })
    }),
  )
  await boss.work<object, unknown, typeof batch>(QUEUES.seeBySweep, batch, (jobs) =>
    settleEach(jobs, async () => {
      await sweepSeeBy({ db: database.db, queue: queue.port })
    }),
  )
  await boss.work<FreedTimeJob, unknown, typeof batch>(QUEUES.freedTime, batch, (jobs) =>
    settleEach(jobs, async ({ data: { clinicId, clinicianId, from, to } }) => {
      const freed = { clinicianId, from: Temporal.Instant.from(from), to: Temporal.Instant.from(to) }
      await offerFreedTime(ctxOf(clinicId), freed)
    }),
  )
  await boss.work<OfferEndJob, unknown, typeof batch>(QUEUES.offerEnd, batch, (jobs) =>
    settleEach(jobs, async ({ data: { clinicId, offerId } }) => {
      await expireOffer(ctxOf(clinicId), { offerId })
    }),
  )
  await boss.work<object, unknown, typeof batch>(QUEUES.figures, batch, (jobs) =>
    settleEach(jobs, async () => {
      for (const { id } of await listClinics(database.db)) await keepFigures(ctxOf(id))
    }),
  )
  // However many workers there are: one round in each stretch of time, because the job's key is taken then.
  const sweep = () =>
    Promise.all(
      [QUEUES.seeBySweep, QUEUES.figures].map((name) =>
        boss.send(name, {}, { singletonKey: 'sweep', singletonSeconds: SWEEP_EVERY_S }),
      ),
    ).catch((error) => logFailure('sweep_failed', error))
  const sweeping = setInterval(sweep, (SWEEP_EVERY_S / 4) * 1000)
  return async () => {
    clearInterval(sweeping)
    for (const name of Object.values(QUEUES)) await boss.offWork(name, { wait: true })
  }
}

/** The queue hands out the most urgent, but in any order among themselves. */
function byUrgency<T>(jobs: readonly JobWithMetadata<T>[]): JobWithMetadata<T>[] {
  return jobs.toSorted((a, b) => b.priority - a.priority)
}

function resultOf(job: JobWithMetadata<MessageJob>, delivery: Delivery | undefined): JobResult {
  if (delivery?.outcome === 'broken') return failed(job, delivery.error)
  if (delivery?.outcome === 'try_again') return { id: job.id, status: 'failed', output: { fault: delivery.fault } }
  return { id: job.id, status: 'completed' }
}

/** Each job by itself: one that fails is tried again without the others of its batch. */
async function settleEach<T>(
  jobs: readonly JobWithMetadata<T>[],
  work: (job: JobWithMetadata<T>) => Promise<void>,
): Promise<JobResult[]> {
  const results: JobResult[] = []
  for (const job of byUrgency(jobs)) {
    try {
      await work(job)
      results.push({ id: job.id, status: 'completed' })
    } catch (error) {
      results.push(failed(job, error))
    }
  }
  return results
}

/** A bug or a lost database: the job comes up again, and if it keeps failing a person is told. */
function failed<T>(job: JobWithMetadata<T>, error: unknown): JobResult {
  logFailure('job_failed', error, { queue: job.name, retries: job.retryCount })
  return { id: job.id, status: 'failed', output: safeError(error) }
}
