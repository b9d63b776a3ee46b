/**
 * The outbox of the clinic's mail. Written by `queueMessages`, settled by the worker; the queue itself carries ids only.
 */
import { and, count, desc, eq, inArray, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { MessageKind } from '#lib/domain/messages/kinds.ts'
import type { PlannedMessage } from '#lib/domain/messages/schedule.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import type { Db } from '../client.ts'
import { preparedSql } from '../prepared.ts'
import { homeChecks, messages, packets, patients, referrals, rooms, sites, tasks, visits } from '../schema/index.ts'

type NewMessage = PlannedMessage & { clinicId: string; id: string; status: 'queued'; createdAt: Temporal.Instant }

/** The ids of those that are new: of the others, a message with the same key is there already. */
export async function addMessages(tx: Db, rows: readonly NewMessage[]): Promise<string[]> {
  if (rows.length === 0) return []
  return (await insertMessages(tx, { rows: JSON.stringify(rows) })).map(({ id }) => id)
}

/** As one document: however many there are, it is the same statement. */
const insertMessages = preparedSql<{ id: string }>(
  'insert_messages',
  sql`
    insert into messages (clinic_id, id, referral_id, visit_id, kind, dedupe_key, due_at, status, created_at)
    select m ->> 'clinicId', m ->> 'id', m ->> 'referralId', m ->> 'visitId', (m ->> 'kind')::message_kind,
      m ->> 'dedupeKey', (m ->> 'dueAt')::timestamptz, (m ->> 'status')::message_status, (m ->> 'createdAt')::timestamptz
    from json_array_elements(${sql.placeholder('rows')}::json) m
    on conflict (clinic_id, dedupe_key) do nothing returning id`,
)

/** The zone in which the patient of a referral reads the time, where anybody has said so. */
export async function getTimeZoneOf(db: Db, clinicId: string, referralId: string): Promise<string | null> {
  const [row] = await db
    .select({ zone: sql<string | null>`coalesce(${homeChecks.timeZone}, ${patients.timeZone})` })
    .from(referrals)
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .leftJoin(homeChecks, and(eq(homeChecks.clinicId, referrals.clinicId), eq(homeChecks.referralId, referrals.id)))
    .where(and(eq(referrals.clinicId, clinicId), eq(referrals.id, referralId)))
  return row?.zone ?? null
}

/** Messages by their ids, each with all it speaks of, as that stands now; the messages are locked. */
export async function findMessagesForUpdate(tx: Db, clinicId: string, ids: readonly string[]) {
  const rows = await tx
    .select({
      id: messages.id,
      kind: messages.kind,
      status: messages.status,
      dedupeKey: messages.dedupeKey,
      attempts: messages.attempts,
      referral: {
        id: referrals.id,
        stage: referrals.stage,
        isStopped: referrals.isStopped,
        invitedAt: homeChecks.invitedAt,
        homeCheckFinishedAt: homeChecks.finishedAt,
      },
      patient: {
        givenName: patients.givenName,
        email: patients.email,
        language: patients.language,
        mayEmailDetails: patients.mayEmailDetails,
      },
      visit: {
        id: visits.id,
        mode: visits.mode,
        status: visits.status,
        startsAt: visits.startsAt,
        endsAt: visits.endsAt,
        holdExpiresAt: visits.holdExpiresAt,
        timeZone: visits.patientTimeZone,
        calendarUid: visits.calendarUid,
        calendarSequence: visits.calendarSequence,
        changedAt: visits.changedAt,
        /** It lost its place in the clinic, and nobody has settled yet how it goes on. */
        isStranded: sql<boolean>`exists (
          select 1 from ${tasks}
          where ${tasks.clinicId} = ${visits.clinicId} and ${tasks.referralId} = ${visits.referralId}
            and ${tasks.dedupeKey} = 'stranded:' || ${visits.id} and ${tasks.doneAt} is null)`,
        packetRevision: sql<number>`coalesce((
          select max(${packets.revision}) from ${packets}
          where ${packets.clinicId} = ${visits.clinicId} and ${packets.visitId} = ${visits.id}), 0)::int`,
      },
      site: { name: sites.name, address: sites.address },
    })
    .from(messages)
    .innerJoin(referrals, and(eq(referrals.clinicId, messages.clinicId), eq(referrals.id, messages.referralId)))
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .leftJoin(
      homeChecks,
      and(eq(homeChecks.clinicId, messages.clinicId), eq(homeChecks.referralId, messages.referralId)),
    )
    .leftJoin(visits, and(eq(visits.clinicId, messages.clinicId), eq(visits.id, messages.visitId)))
    .leftJoin(rooms, and(eq(rooms.clinicId, visits.clinicId), eq(rooms.id, visits.roomId)))
    .leftJoin(sites, and(eq(sites.clinicId, rooms.clinicId), eq(sites.id, rooms.siteId)))
    .where(and(eq(messages.clinicId, clinicId), inArray(messages.id, [...ids])))
    // Whoever locks several does so in one order, so that no two wait for each other.
    .orderBy(messages.id)
    .for('update', { of: messages })
  return new Map(
    rows.map(({ visit, patient, ...rest }) => [
      rest.id,
      {
        ...rest,
        patient: { ...patient, language: patient.language as Locale },
        visit: visit?.id == null ? null : { ...visit, referralId: rest.referral.id },
      },
    ]),
  )
}
export type MessageToSend = Awaited<ReturnType<typeof findMessagesForUpdate>> extends Map<string, infer M> ? M : never

export type MessageChange = {
  status?: 'sent' | 'failed' | 'dropped'
  sentAt?: Temporal.Instant
  fault?: string
  hasTried?: boolean
}

export async function settleMessages(
  tx: Db,
  clinicId: string,
  ids: readonly string[],
  { hasTried = false, ...set }: MessageChange,
): Promise<void> {
  await tx
    .update(messages)
    .set({ ...set, ...(hasTried && { attempts: sql`${messages.attempts} + 1` }) })
    .where(and(eq(messages.clinicId, clinicId), inArray(messages.id, [...ids])))
}

export type TrayRow = {
  id: string
  kind: MessageKind
  status: 'queued' | 'sent' | 'failed' | 'dropped'
  dueAt: Temporal.Instant
  sentAt: Temporal.Instant | null
  fault: string | null
  referralId: string
  patientName: string
}

/** Messages of the clinic, what is still to come first, then the newest; all, or those of one status. */
export async function listTray(
  db: Db,
  clinicId: string,
  status: TrayRow['status'] | null,
  limit: number,
): Promise<TrayRow[]> {
  return trayRows(db)
    .where(and(eq(messages.clinicId, clinicId), status === null ? undefined : eq(messages.status, status)))
    .orderBy(desc(sql`coalesce(${messages.sentAt}, ${messages.dueAt})`), desc(messages.id))
    .limit(limit)
}

export async function countTray(db: Db, clinicId: string): Promise<Record<TrayRow['status'], number>> {
  const rows = await db
    .select({ status: messages.status, count: count() })
    .from(messages)
    .where(eq(messages.clinicId, clinicId))
    .groupBy(messages.status)
  return {
    queued: 0,
    sent: 0,
    failed: 0,
    dropped: 0,
    ...Object.fromEntries(rows.map((row) => [row.status, row.count])),
  }
}

export async function findTrayRow(db: Db, clinicId: string, id: string): Promise<TrayRow | null> {
  const [row] = await trayRows(db).where(and(eq(messages.clinicId, clinicId), eq(messages.id, id)))
  return row ?? null
}

function trayRows(db: Db) {
  return db
    .select({
      id: messages.id,
      kind: messages.kind,
      status: messages.status,
      dueAt: messages.dueAt,
      sentAt: messages.sentAt,
      fault: messages.fault,
      referralId: messages.referralId,
      patientName: sql<string>`${patients.givenName} || ' ' || ${patients.familyName}`,
    })
    .from(messages)
    .innerJoin(referrals, and(eq(referrals.clinicId, messages.clinicId), eq(referrals.id, messages.referralId)))
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .$dynamic()
}

/** When the referral's booked visit begins; null = none is booked. */
export async function findBookedStart(db: Db, clinicId: string, referralId: string): Promise<Temporal.Instant | null> {
  const [row] = await db
    .select({ startsAt: visits.startsAt })
    .from(visits)
    .where(and(eq(visits.clinicId, clinicId), eq(visits.referralId, referralId), eq(visits.status, 'booked')))
    .orderBy(desc(visits.startsAt))
    .limit(1)
  return row?.startsAt ?? null
}
