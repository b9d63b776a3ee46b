/** Referrals: written by intake and triage, read by everything. Each query names the clinic first. */
import { and, asc, desc, eq, inArray, isNull, ne, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'
import type { Db } from '../client.ts'
import { insertMany } from '../insert-many.ts'
import {
  assessments,
  homeChecks,
  messages,
  patientMatches,
  patients,
  referrals,
  staff,
  tasks,
  visits,
} from '../schema/index.ts'

export type Referral = typeof referrals.$inferSelect
export type NewReferral = typeof referrals.$inferInsert
/** Few enough a statement to stay well below PostgreSQL's 65 535 parameters. */
const CHUNK = 10_000

/** Only one intake of a clinic at a time, so that two files never bring the same person in twice. Others go on. */
export async function lockIntake(tx: Db, clinicId: string): Promise<void> {
  await tx.execute(sql`select 1 from clinics where id = ${clinicId} for no key update`)
}

/** Those of the fingerprints that are already on file. */
export async function knownFingerprints(
  db: Db,
  clinicId: string,
  fingerprints: readonly string[],
): Promise<Map<string, string>> {
  const known = new Map<string, string>()
  for (const some of chunks(fingerprints, CHUNK)) {
    const rows = await db
      .select({ id: referrals.id, fingerprint: referrals.fingerprint })
      .from(referrals)
      .where(and(eq(referrals.clinicId, clinicId), inArray(referrals.fingerprint, some)))
    for (const row of rows) known.set(row.fingerprint, row.id)
  }
  return known
}

export async function insertReferrals(tx: Db, rows: readonly NewReferral[]): Promise<void> {
  await insertMany(tx, referrals, rows)
}

export async function findReferral(db: Db, clinicId: string, id: string): Promise<Referral | null> {
  const [row] = await db
    .select()
    .from(referrals)
    .where(and(eq(referrals.clinicId, clinicId), eq(referrals.id, id)))
  return row ?? null
}

/** As `findReferral`, and nobody else changes it until this transaction ends. */
export async function findReferralForUpdate(tx: Db, clinicId: string, id: string): Promise<Referral | null> {
  const [row] = await tx
    .select()
    .from(referrals)
    .where(and(eq(referrals.clinicId, clinicId), eq(referrals.id, id)))
    .for('update')
  return row ?? null
}

/** Changes a referral that the caller has locked. The version rises, so that forms opened before are known to be stale. */
export async function updateReferral(
  tx: Db,
  clinicId: string,
  id: string,
  change: Partial<NewReferral>,
): Promise<void> {
  await tx
    .update(referrals)
    .set({ ...change, version: sql`${referrals.version} + 1` })
    .where(and(eq(referrals.clinicId, clinicId), eq(referrals.id, id)))
}

/** Moves every referral of one patient, with its visits, to another. Returns the referrals moved. */
export async function moveReferrals(tx: Db, clinicId: string, from: string, to: string): Promise<string[]> {
  const moved = await tx
    .update(referrals)
    .set({ patientId: to, version: sql`${referrals.version} + 1` })
    .where(and(eq(referrals.clinicId, clinicId), eq(referrals.patientId, from)))
    .returning({ id: referrals.id })
  await tx
    .update(visits)
    .set({ patientId: to })
    .where(and(eq(visits.clinicId, clinicId), eq(visits.patientId, from)))
  return moved.map((row) => row.id)
}

/** One open referral with everything that decides what happens next. */
export type DeskRow = {
  id: string
  patientId: string
  givenName: string
  familyName: string
  birthDate: string | null
  phone: string | null
  email: string | null
  state: string | null
  timeZone: string | null
  reason: string
  conditionText: string | null
  stage: Referral['stage']
  side: Referral['side']
  protocolId: string | null
  protocolVersion: number | null
  conditionId: string | null
  seeBy: Temporal.Instant | null
  receivedAt: Temporal.Instant
  isStopped: boolean
  placeState: string | null
  placeTimeZone: string | null
  invitedAt: Temporal.Instant | null
  startedAt: Temporal.Instant | null
  finishedAt: Temporal.Instant | null
  disposition: Disposition | null
  overruledTo: Disposition | null
  openTasks: (typeof tasks.$inferSelect)['kind'][]
  /** What the task says that tells of no start in time, for `readBreach`. */
  breach: unknown
  visitMode: 'video' | 'in_person' | null
  visitStatus: 'held' | 'booked' | null
  visitStartsAt: Temporal.Instant | null
}

/**
 * Every open referral of a clinic (or the one asked for, open or not), and closed ones that still have an open task,
 * in one query. A hold that has run out counts as no visit.
 */
export async function listDesk(
  db: Db,
  clinicId: string,
  now: Temporal.Instant,
  referralId?: string,
): Promise<DeskRow[]> {
  const newest = db
    .select({ disposition: assessments.disposition, overruledTo: assessments.overruledTo })
    .from(assessments)
    .where(and(eq(assessments.clinicId, referrals.clinicId), eq(assessments.referralId, referrals.id)))
    .orderBy(desc(assessments.at), desc(assessments.id))
    .limit(1)
    .as('newest')
  const live = db
    .select({ mode: visits.mode, status: visits.status, startsAt: visits.startsAt })
    .from(visits)
    .where(
      and(
        eq(visits.clinicId, referrals.clinicId),
        eq(visits.referralId, referrals.id),
        sql`(${visits.status} = 'booked' or (${visits.status} = 'held' and not ${visits.isOffer} and ${visits.holdExpiresAt} > ${now.toString()}))`,
      ),
    )
    // 'booked' before a hold that a move has opened beside it.
    // In person before an early look: the look never stands for the visit.
    .orderBy(desc(sql`${visits.status} = 'booked'`), desc(visits.mode))
    .limit(1)
    .as('live')
  const open = db
    .select({
      kinds: sql<string[] | null>`array_agg(${tasks.kind}::text)`.as('kinds'),
      breach: sql<string | null>`min(${tasks.detail}::text) filter (where ${tasks.kind} = 'see_by_breach')`.as(
        'breach',
      ),
    })
    .from(tasks)
    .where(and(eq(tasks.clinicId, referrals.clinicId), eq(tasks.referralId, referrals.id), isNull(tasks.doneAt)))
    .as('open')
  const rows = await db
    .select({
      id: referrals.id,
      patientId: referrals.patientId,
      givenName: patients.givenName,
      familyName: patients.familyName,
      birthDate: patients.birthDate,
      phone: patients.phone,
      email: patients.email,
      state: patients.state,
      timeZone: patients.timeZone,
      reason: referrals.reason,
      conditionText: referrals.conditionText,
      stage: referrals.stage,
      side: referrals.side,
      protocolId: referrals.protocolId,
      protocolVersion: referrals.protocolVersion,
      conditionId: referrals.conditionId,
      seeBy: referrals.seeBy,
      receivedAt: referrals.receivedAt,
      isStopped: referrals.isStopped,
      placeState: homeChecks.placeState,
      placeTimeZone: homeChecks.timeZone,
      invitedAt: homeChecks.invitedAt,
      startedAt: homeChecks.startedAt,
      finishedAt: homeChecks.finishedAt,
      disposition: newest.disposition,
      overruledTo: newest.overruledTo,
      openTasks: open.kinds,
      breach: open.breach,
      visitMode: live.mode,
      visitStatus: live.status,
      visitStartsAt: live.startsAt,
    })
    .from(referrals)
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .leftJoin(homeChecks, and(eq(homeChecks.clinicId, referrals.clinicId), eq(homeChecks.referralId, referrals.id)))
    .leftJoinLateral(newest, sql`true`)
    .leftJoinLateral(live, sql`true`)
    .leftJoinLateral(open, sql`true`)
    .where(
      and(
        eq(referrals.clinicId, clinicId),
        referralId === undefined
          ? sql`(${referrals.stage} <> 'closed' or ${open.kinds} is not null)`
          : eq(referrals.id, referralId),
      ),
    )
  return rows.map((row) => ({
    ...row,
    openTasks: row.openTasks ?? [],
    breach: row.breach === null ? null : JSON.parse(row.breach),
  })) as DeskRow[]
}

/** Visits and messages of a referral, newest first: what the referral page shows of them. */
export async function listVisitsOf(db: Db, clinicId: string, referralId: string) {
  return db
    .select({
      id: visits.id,
      mode: visits.mode,
      status: visits.status,
      startsAt: visits.startsAt,
      endsAt: visits.endsAt,
      patientTimeZone: visits.patientTimeZone,
    })
    .from(visits)
    .where(and(eq(visits.clinicId, clinicId), eq(visits.referralId, referralId), ne(visits.status, 'lapsed')))
    .orderBy(desc(visits.startsAt))
}

export async function listMessagesOf(db: Db, clinicId: string, referralId: string) {
  return db
    .select({
      id: messages.id,
      kind: messages.kind,
      status: messages.status,
      dueAt: messages.dueAt,
      sentAt: messages.sentAt,
      fault: messages.fault,
    })
    .from(messages)
    .where(and(eq(messages.clinicId, clinicId), eq(messages.referralId, referralId)))
    .orderBy(desc(messages.dueAt), asc(messages.id))
}

/** What was to be sent about a referral and has not gone out: it never will. */
export async function dropQueuedMessages(tx: Db, clinicId: string, referralId: string): Promise<void> {
  await tx
    .update(messages)
    .set({ status: 'dropped' })
    .where(and(eq(messages.clinicId, clinicId), eq(messages.referralId, referralId), eq(messages.status, 'queued')))
}

/** Possible doubles of a referral's patient, with who they are. */
export async function listMatchesOf(db: Db, clinicId: string, referralId: string) {
  return db
    .select({
      candidateId: patientMatches.candidateId,
      because: patientMatches.because,
      decision: patientMatches.decision,
      decidedBy: patientMatches.decidedBy,
      decidedAt: patientMatches.decidedAt,
      givenName: patients.givenName,
      familyName: patients.familyName,
      birthDate: patients.birthDate,
      phone: patients.phone,
      email: patients.email,
      city: patients.city,
      state: patients.state,
    })
    .from(patientMatches)
    .innerJoin(
      patients,
      and(eq(patients.clinicId, patientMatches.clinicId), eq(patients.id, patientMatches.candidateId)),
    )
    .where(and(eq(patientMatches.clinicId, clinicId), eq(patientMatches.referralId, referralId)))
    .orderBy(asc(patients.familyName), asc(patientMatches.candidateId))
}

/** Names behind the ids of a record. */
export async function staffNames(db: Db, clinicId: string, ids: readonly string[]): Promise<Map<string, string>> {
  if (ids.length === 0) return new Map()
  const rows = await db
    .select({ id: staff.id, name: staff.name })
    .from(staff)
    .where(and(eq(staff.clinicId, clinicId), inArray(staff.id, [...new Set(ids)])))
  return new Map(rows.map((row) => [row.id, row.name]))
}

/** The list in pieces of at most `size`. */
export function chunks<T>(list: readonly T[], size: number): T[][] {
  return Array.from({ length: Math.ceil(list.length / size) }, (_, at) => list.slice(at * size, (at + 1) * size))
}

/** Every referral, of any clinic, for which a start may have to be found in time, or whose task says that there is none. */
export async function listAwaitingStart(db: Db): Promise<{ clinicId: string; referralId: string }[]> {
  const breach = db
    .select({ one: sql`1` })
    .from(tasks)
    .where(
      and(
        eq(tasks.clinicId, referrals.clinicId),
        eq(tasks.referralId, referrals.id),
        eq(tasks.kind, 'see_by_breach'),
        isNull(tasks.doneAt),
      ),
    )
  return db
    .select({ clinicId: referrals.clinicId, referralId: referrals.id })
    .from(referrals)
    .where(sql`${referrals.stage} = 'screened' or exists ${breach}`)
}

/** The newest referrals that were triaged by any version of a protocol, with what screening reads of them. */
export async function listTriagedBy(db: Db, clinicId: string, protocolId: string, limit: number) {
  return db
    .select({
      id: referrals.id,
      conditionId: referrals.conditionId,
      side: referrals.side,
      birthDate: patients.birthDate,
      givenName: patients.givenName,
      familyName: patients.familyName,
    })
    .from(referrals)
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .where(and(eq(referrals.clinicId, clinicId), eq(referrals.protocolId, protocolId)))
    .orderBy(desc(referrals.receivedAt), desc(referrals.id))
    .limit(limit)
}
