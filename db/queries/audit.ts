/** The record of deeds. Append-only: there is no update or delete here, and a trigger refuses them anyway. */
import { and, desc, eq, isNull, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Actor } from '#lib/domain/access/actor.ts'
import type { Db } from '../client.ts'
import { insertMany } from '../insert-many.ts'
import { prepared } from '../prepared.ts'
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
  await insertLine(tx, {
    ...deed,
    clinicId: actor.clinicId,
    actorKind: actor.kind,
    actorId: actor.id,
    referralId: deed.referralId ?? null,
    before: asJson(deed.before),
    after: asJson(deed.after),
  })
}

/** Nothing said is no value, not the JSON value null. */
function asJson(value: unknown): string | null {
  return value === undefined || value === null ? null : JSON.stringify(value)
}

const { placeholder } = sql
const insertLine = prepared('insert_audit', (db) =>
  db.insert(auditEvents).values({
    clinicId: placeholder('clinicId'),
    id: placeholder('id'),
    at: placeholder('at'),
    actorKind: placeholder('actorKind'),
    actorId: placeholder('actorId'),
    action: placeholder('action'),
    subject: placeholder('subject'),
    referralId: sql`${placeholder('referralId')}`,
    before: sql`${placeholder('before')}::jsonb`,
    after: sql`${placeholder('after')}::jsonb`,
  }),
)

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

/** Every deed of one kind that belongs to no referral, newest first. */
export async function listDeeds(db: Db, clinicId: string, action: string, limit = 200) {
  return db
    .select()
    .from(auditEvents)
    .where(and(eq(auditEvents.clinicId, clinicId), isNull(auditEvents.referralId), eq(auditEvents.action, action)))
    .orderBy(desc(auditEvents.at), desc(auditEvents.id))
    .limit(limit)
}
