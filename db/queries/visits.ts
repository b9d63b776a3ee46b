/**
 * Claims on time. Whether a start is free is never asked here: the exclusion constraints of migration 0001 answer when
 * it is written. A hold that ran out still stands in their way, so whoever wants its time lets it lapse first.
 */
import { and, asc, eq, inArray, sql } from 'drizzle-orm'
import type { PgUpdateSetSource } from 'drizzle-orm/pg-core'
import type { Temporal } from '#lib/base/time.ts'
import type { RelaxationKind } from '#lib/domain/calendar/demand.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import type { Db } from '../client.ts'
import { prepared, preparedSql } from '../prepared.ts'
import { clinicians, interpreters, rooms, sites, visits } from '../schema/index.ts'

const { placeholder } = sql

/** A start as it stands in the table: who and what is taken, and from when to when. */
export type ClaimedStart = {
  clinicianId: string
  sessionId: string
  interpreterId: string | null
  roomId: string | null
  mode: 'video' | 'in_person'
  startsAt: Temporal.Instant
  endsAt: Temporal.Instant
  /** The clinician's time, buffers included. */
  busyFrom: Temporal.Instant
  busyTo: Temporal.Instant
}

/** What is known of the visit at that start when it is written. */
export type Preparation = {
  /** Null in person. */
  plan: ExamPlan | null
  assessmentId: string | null
  patientTimeZone: string
  placeState: string | null
  /** The conditions set aside without which this start could not be had, and the reason where one is needed. */
  released: RelaxationKind[]
  releasedBecause: string | null
}

export type NewVisit = ClaimedStart &
  Preparation & {
    clinicId: string
    id: string
    referralId: string
    patientId: string
    calendarUid: string
    at: Temporal.Instant
  } & ({ status: 'booked' } | { status: 'held'; holdExpiresAt: Temporal.Instant; heldBy: string; isOffer?: boolean })

/**
 * One command at a time on the people and the room a start takes. The constraints would hold without it; but two
 * transactions that write overlapping rows at the same moment wait for each other, and PostgreSQL can end that only
 * after a second, by ending one. Always clinician, interpreter, room, so that nobody waits in a circle.
 */
export async function queueFor(
  tx: Db,
  clinicId: string,
  kind: 'clinician' | 'interpreter' | 'room',
  id: string | null,
): Promise<void> {
  if (id === null) return
  await lockFor[kind](tx, { clinicId, id })
}

const lockOf = (name: string, table: typeof clinicians | typeof interpreters | typeof rooms) =>
  prepared(name, (db) =>
    db
      .select({ id: table.id })
      .from(table)
      .where(and(eq(table.clinicId, placeholder('clinicId')), eq(table.id, placeholder('id'))))
      .for('no key update'),
  )
const lockFor = {
  clinician: lockOf('lock_clinician', clinicians),
  interpreter: lockOf('lock_interpreter', interpreters),
  room: lockOf('lock_room', rooms),
}

/**
 * Lets every hold lapse that has run out and stands in the way of `start`, and the referral's own, run out or not: one
 * referral holds one start. `keep` is the hold that is about to be booked.
 */
export async function lapseHolds(
  tx: Db,
  clinicId: string,
  start: ClaimedStart,
  own: { referralId: string; keep: string | null },
  now: Temporal.Instant,
): Promise<void> {
  const { clinicianId, interpreterId, roomId, startsAt, endsAt, busyFrom, busyTo } = start
  await lapse(tx, {
    ...own,
    clinicId,
    clinicianId,
    interpreterId,
    roomId,
    startsAt: startsAt.toString(),
    endsAt: endsAt.toString(),
    busyFrom: busyFrom.toString(),
    busyTo: busyTo.toString(),
    now: now.toString(),
  })
}

/** Nobody's id is null, so where nobody interprets and no room is taken, none is in the way. */
const lapse = preparedSql(
  'lapse_holds',
  sql`
    update visits set status = 'lapsed', changed_at = ${placeholder('now')}::timestamptz, version = version + 1
    where clinic_id = ${placeholder('clinicId')} and status = 'held' and id is distinct from ${placeholder('keep')}
      and (referral_id = ${placeholder('referralId')} and not is_offer
        or hold_expires_at <= ${placeholder('now')}::timestamptz and (
          clinician_id = ${placeholder('clinicianId')}
            and busy_from < ${placeholder('busyTo')}::timestamptz and busy_to > ${placeholder('busyFrom')}::timestamptz
          or interpreter_id = ${placeholder('interpreterId')}
            and starts_at < ${placeholder('endsAt')}::timestamptz and ends_at > ${placeholder('startsAt')}::timestamptz
          or room_id = ${placeholder('roomId')}
            and starts_at < ${placeholder('endsAt')}::timestamptz and ends_at > ${placeholder('startsAt')}::timestamptz))`,
)

/** Writes a claim. A start that somebody else has taken is refused by a constraint. */
export async function insertVisit(tx: Db, { at, ...visit }: NewVisit): Promise<void> {
  await tx.insert(visits).values({ ...visit, createdAt: at, changedAt: at })
}

/** Changes one visit. Whoever had it open before finds its version raised. */
export async function changeVisit(
  tx: Db,
  clinicId: string,
  visitId: string,
  at: Temporal.Instant,
  set: PgUpdateSetSource<typeof visits>,
): Promise<void> {
  await tx
    .update(visits)
    .set({ ...set, changedAt: at, version: sql`${visits.version} + 1` })
    .where(and(eq(visits.clinicId, clinicId), eq(visits.id, visitId)))
}

/** Turns a hold into the booked visit, with what has been decided since it was held. */
export async function bookHeldVisit(
  tx: Db,
  clinicId: string,
  visitId: string,
  start: ClaimedStart,
  prepared: Preparation,
  at: Temporal.Instant,
): Promise<void> {
  const set = { ...start, ...prepared, status: 'booked', holdExpiresAt: null, heldBy: null } as const
  await changeVisit(tx, clinicId, visitId, at, set)
}

const nextSequence = sql`${visits.calendarSequence} + 1`

/** Moves a booked visit in place: the same row, the same calendar entry, its next sequence number (RFC 5546). */
export async function moveVisitTo(
  tx: Db,
  clinicId: string,
  visitId: string,
  start: ClaimedStart,
  prepared: Preparation,
  at: Temporal.Instant,
): Promise<void> {
  await changeVisit(tx, clinicId, visitId, at, { ...start, ...prepared, calendarSequence: nextSequence })
}

/** Gives the time of a booked visit back. */
export async function cancelBookedVisit(
  tx: Db,
  clinicId: string,
  visitId: string,
  because: string,
  at: Temporal.Instant,
): Promise<void> {
  const set = { status: 'cancelled', cancelledBecause: because, calendarSequence: nextSequence } as const
  await changeVisit(tx, clinicId, visitId, at, set)
}

/** Gives a hold back before it runs out. */
export async function releaseHeldVisit(tx: Db, clinicId: string, visitId: string, at: Temporal.Instant): Promise<void> {
  await changeVisit(tx, clinicId, visitId, at, { status: 'lapsed', holdExpiresAt: at })
}

/** Whose visit is it? The referral is locked first by every command, so a visit is found by way of it. */
export async function findReferralOfVisit(db: Db, clinicId: string, visitId: string) {
  const [row] = await db
    .select({ referralId: visits.referralId, clinicianId: visits.clinicianId })
    .from(visits)
    .where(and(eq(visits.clinicId, clinicId), eq(visits.id, visitId)))
  return row ?? null
}

/** The referral's claims as people read them: names, place and zones beside the times. */
export async function listClaimsToShow(db: Db, clinicId: string, referralId: string) {
  return db
    .select({
      visitId: visits.id,
      status: visits.status,
      mode: visits.mode,
      startsAt: visits.startsAt,
      endsAt: visits.endsAt,
      holdExpiresAt: visits.holdExpiresAt,
      sessionId: visits.sessionId,
      clinicianId: visits.clinicianId,
      roomId: visits.roomId,
      interpreterId: visits.interpreterId,
      clinicianName: clinicians.name,
      interpreterName: interpreters.name,
      roomName: rooms.name,
      siteName: sites.name,
      siteAddress: sites.address,
      siteTimeZone: sites.timeZone,
      version: visits.version,
    })
    .from(visits)
    .innerJoin(clinicians, and(eq(clinicians.clinicId, visits.clinicId), eq(clinicians.id, visits.clinicianId)))
    .leftJoin(interpreters, and(eq(interpreters.clinicId, visits.clinicId), eq(interpreters.id, visits.interpreterId)))
    .leftJoin(rooms, and(eq(rooms.clinicId, visits.clinicId), eq(rooms.id, visits.roomId)))
    .leftJoin(sites, and(eq(sites.clinicId, rooms.clinicId), eq(sites.id, rooms.siteId)))
    .where(
      and(
        eq(visits.clinicId, clinicId),
        eq(visits.referralId, referralId),
        inArray(visits.status, ['held', 'booked']),
        eq(visits.isOffer, false),
      ),
    )
    .orderBy(asc(visits.startsAt))
}

/** Whom and what one claim names, as its patient reads it. */
export async function findClaimedPlace(db: Db, clinicId: string, visitId: string) {
  const [row] = await db
    .select({
      mode: visits.mode,
      clinicianName: clinicians.name,
      interpreterName: interpreters.name,
      siteName: sites.name,
      siteAddress: sites.address,
      patientTimeZone: visits.patientTimeZone,
    })
    .from(visits)
    .innerJoin(clinicians, and(eq(clinicians.clinicId, visits.clinicId), eq(clinicians.id, visits.clinicianId)))
    .leftJoin(interpreters, and(eq(interpreters.clinicId, visits.clinicId), eq(interpreters.id, visits.interpreterId)))
    .leftJoin(rooms, and(eq(rooms.clinicId, visits.clinicId), eq(rooms.id, visits.roomId)))
    .leftJoin(sites, and(eq(sites.clinicId, rooms.clinicId), eq(sites.id, rooms.siteId)))
    .where(and(eq(visits.clinicId, clinicId), eq(visits.id, visitId)))
  return row ?? null
}
