/** The record of deeds. Append-only: there is no update or delete here, and a trigger refuses them anyway. */
import { and, desc, eq } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Actor } from '#lib/domain/access/actor.ts'
import type { Db } from '../client.ts'
import { insertMany } from '../insert-many.ts'
import { auditEvents } from '../schema/index.ts'

export type Deed = {
  id: string
  at: Temporal.Instant
  actor: Actor
  /** `noun.verbed`, e.g. `visit.booked`. */
  action: string
  subject: string
  referralId?: string
  before?: unknown
  after?: unknown
}

/** Writes one line of the record, in the transaction of the deed itself. */
export async function recordAudit(tx: Db, { actor, ...deed }: Deed): Promise<void> {
  await tx.insert(auditEvents).values({ ...deed, clinicId: actor.clinicId, actorKind: actor.kind, actorId: actor.id })
}

/** Many lines of one deed, such as a file of referrals. */
export async function recordAudits(tx: Db, deeds: readonly Deed[]): Promise<void> {
  const rows = deeds.map(({ actor, ...deed }) => ({
    ...deed,
    clinicId: actor.clinicId,
    actorKind: actor.kind,
    actorId: actor.id,
  }))
  await insertMany(tx, auditEvents, rows)
}

export async function listAudit(db: Db, clinicId: string, referralId: string, limit = 200) {
  return db
    .select()
    .from(auditEvents)
    .where(and(eq(auditEvents.clinicId, clinicId), eq(auditEvents.referralId, referralId)))
    .orderBy(desc(auditEvents.at), desc(auditEvents.id))
    .limit(limit)
}
