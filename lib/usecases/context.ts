/**
 * What every use case is handed: the database, who asks, the time, ids, and the
 * ports to the world outside. Nothing else reaches them, so a test can fix it all.
 */
import type { Db } from '#db/client.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { Actor } from '#lib/domain/access/actor.ts'

/** Time of a clinician's, buffers included. */
export type FreedTime = { clinicianId: string; from: Temporal.Instant; to: Temporal.Instant }

/** Puts work on the durable queue, inside the transaction that causes it. */
export type QueuePort = {
  enqueueMessages(
    tx: Db,
    jobs: readonly { clinicId: string; messageId: string; dueAt: Temporal.Instant; isUrgent: boolean }[],
  ): Promise<void>
  /** Asks for a phone call if the home check of that invitation (its message's key) is still open when this is due. */
  enqueuePhoneTask(
    tx: Db,
    job: { clinicId: string; referralId: string; invitation: string; dueAt: Temporal.Instant },
  ): Promise<void>
  /** Asks to look again whether a referral can still have a visit in time; asked for several times, it is looked once. */
  enqueueSeeByWatch(tx: Db, job: { clinicId: string; referralId: string }): Promise<void>
  /** Some of a clinician's time came free: asks to offer it to whoever waits for a sooner start. */
  enqueueFreedTime(tx: Db, job: FreedTime & { clinicId: string; dueAt: Temporal.Instant }): Promise<void>
  /** Asks to end an offer when its time to answer is over. */
  enqueueOfferEnd(tx: Db, job: { clinicId: string; offerId: string; dueAt: Temporal.Instant }): Promise<void>
}

/** Unguessable secrets and their hashes (at least 128 bits, ASVS 5.0 11.5.1). */
export type SecretPort = {
  newToken(): string
  hashToken(token: string): string
  hashText(text: string): string
  hashPassword(password: string): Promise<string>
  verifyPassword(hash: string, password: string): Promise<boolean>
}

export type Ctx = {
  db: Db
  actor: Actor
  /** Read once at the top of a use case. */
  now: () => Temporal.Instant
  /** `ref_…`: the prefix says what it names, the rest is unguessable. */
  newId: (prefix: string) => string
  queue: QueuePort
  secrets: SecretPort
}
