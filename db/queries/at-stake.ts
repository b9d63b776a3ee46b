/**
 * Which promises can a change of the clinic break? The visits that are still to come of those it concerns, and the clinic
 * as it stands at that moment inside the transaction: asked once before the change is written and once after it.
 */
import { and, asc, eq, gt, inArray, lt, ne, or, type SQL, sql } from 'drizzle-orm'
import { Temporal } from '#lib/base/time.ts'
import type { ClaimAtStake, ClinicAsItIs } from '#lib/domain/booking/stranded.ts'
import type { Db } from '../client.ts'
import {
  clinicians,
  clinicSessions,
  holidays,
  interpreters,
  licences,
  patients,
  rooms,
  sessionExceptions,
  sites,
  visits,
} from '../schema/index.ts'
import { sessionOf } from './supply.ts'

/** Whose visits: one clinician's or interpreter's, those in some rooms, or those around some dates (yyyy-mm-dd). */
export type Concerned =
  | { clinicianId: string }
  | { interpreterId: string }
  | { roomIds: readonly string[] }
  | { dates: readonly string[] }

export type VisitAtStake = ClaimAtStake & {
  referralId: string
  status: 'held' | 'booked'
  version: number
  startsAt: Temporal.Instant
  patientName: string
  clinicianName: string
}

/**
 * Lets no booking run beside a change of what it books from: every booking first locks its clinician. A change that
 * concerns more than one clinician locks them all, in one order, so that nobody waits in a circle.
 */
export async function lockCalendar(tx: Db, clinicId: string, concerned: Concerned | 'everybody'): Promise<void> {
  const clinicianId = concerned !== 'everybody' && 'clinicianId' in concerned ? concerned.clinicianId : null
  const interpreterId = concerned !== 'everybody' && 'interpreterId' in concerned ? concerned.interpreterId : null
  await tx
    .select({ id: clinicians.id })
    .from(clinicians)
    .where(and(eq(clinicians.clinicId, clinicId), clinicianId === null ? undefined : eq(clinicians.id, clinicianId)))
    .orderBy(asc(clinicians.id))
    .for('no key update')
  if (interpreterId !== null) {
    await tx
      .select({ id: interpreters.id })
      .from(interpreters)
      .where(and(eq(interpreters.clinicId, clinicId), eq(interpreters.id, interpreterId)))
      .for('no key update')
  }
}

/** Booked visits that are not over, and holds that have not run out, by start; locked, so that none moves meanwhile. */
export async function lockVisitsAtStake(
  tx: Db,
  clinicId: string,
  concerned: Concerned,
  now: Temporal.Instant,
): Promise<VisitAtStake[]> {
  return (await visitsAtStake(tx, clinicId, concerned, now).for('no key update', { of: visits })) as VisitAtStake[]
}

/** The same, only looked at. */
export async function listVisitsAtStake(
  db: Db,
  clinicId: string,
  concerned: Concerned,
  now: Temporal.Instant,
): Promise<VisitAtStake[]> {
  return (await visitsAtStake(db, clinicId, concerned, now)) as VisitAtStake[]
}

function visitsAtStake(tx: Db, clinicId: string, concerned: Concerned, now: Temporal.Instant) {
  const milliseconds = (column: typeof visits.startsAt | typeof visits.endsAt) =>
    sql<number>`(extract(epoch from ${column}) * 1000)::float8`
  return tx
    .select({
      visitId: visits.id,
      referralId: visits.referralId,
      status: visits.status,
      version: visits.version,
      mode: visits.mode,
      clinicianId: visits.clinicianId,
      sessionId: visits.sessionId,
      interpreterId: visits.interpreterId,
      roomId: visits.roomId,
      start: milliseconds(visits.startsAt),
      end: milliseconds(visits.endsAt),
      startsAt: visits.startsAt,
      patientTimeZone: visits.patientTimeZone,
      placeState: visits.placeState,
      language: patients.interpreterLanguage,
      patientName: sql<string>`${patients.givenName} || ' ' || ${patients.familyName}`,
      clinicianName: clinicians.name,
    })
    .from(visits)
    .innerJoin(patients, and(eq(patients.clinicId, visits.clinicId), eq(patients.id, visits.patientId)))
    .innerJoin(clinicians, and(eq(clinicians.clinicId, visits.clinicId), eq(clinicians.id, visits.clinicianId)))
    .where(
      and(
        eq(visits.clinicId, clinicId),
        gt(visits.endsAt, now),
        or(eq(visits.status, 'booked'), and(eq(visits.status, 'held'), gt(visits.holdExpiresAt, now))),
        isConcerned(concerned),
      ),
    )
    .orderBy(asc(visits.startsAt), asc(visits.id))
}

function isConcerned(concerned: Concerned): SQL | undefined {
  if ('clinicianId' in concerned) return eq(visits.clinicianId, concerned.clinicianId)
  if ('interpreterId' in concerned) return eq(visits.interpreterId, concerned.interpreterId)
  if ('roomIds' in concerned) return inArray(visits.roomId, [...concerned.roomIds])
  // A date is a day of a session somewhere: two days on each side hold every zone, and a session over midnight.
  const days = concerned.dates.map((date) => Temporal.Instant.from(`${date}T00:00Z`))
  const around = days.map((day) =>
    and(gt(visits.startsAt, day.subtract({ hours: 48 })), lt(visits.startsAt, day.add({ hours: 72 }))),
  )
  return around.length === 0 ? sql`false` : or(...around)
}

/** The clinic as those visits need it. */
export async function loadClinicAsItIs(
  db: Db,
  clinicId: string,
  claims: readonly ClaimAtStake[],
): Promise<ClinicAsItIs> {
  const clinicianIds = [...new Set(claims.map((claim) => claim.clinicianId))]
  const interpreterIds = [...new Set(claims.flatMap((claim) => claim.interpreterId ?? []))]
  const [sessionRows, clinicianRows, interpreterRows, licenceRows, roomRows, holidayRows] = await Promise.all([
    db
      .select()
      .from(clinicSessions)
      .where(
        and(
          eq(clinicSessions.clinicId, clinicId),
          ne(clinicSessions.status, 'ended'),
          or(
            inArray(clinicSessions.clinicianId, clinicianIds),
            interpreterIds.length > 0 ? inArray(clinicSessions.interpreterId, interpreterIds) : undefined,
          ),
        ),
      ),
    db
      .select({ id: clinicians.id, languages: clinicians.languages })
      .from(clinicians)
      .where(
        and(eq(clinicians.clinicId, clinicId), eq(clinicians.isActive, true), inArray(clinicians.id, clinicianIds)),
      ),
    db
      .select({ id: interpreters.id, languages: interpreters.languages })
      .from(interpreters)
      .where(and(eq(interpreters.clinicId, clinicId), eq(interpreters.isActive, true))),
    db
      .select({
        clinicianId: licences.clinicianId,
        state: licences.state,
        validFrom: licences.validFrom,
        validTo: licences.validTo,
      })
      .from(licences)
      .where(and(eq(licences.clinicId, clinicId), inArray(licences.clinicianId, clinicianIds))),
    db
      .select({ id: rooms.id, siteId: rooms.siteId, state: sites.state, room: rooms.isActive, site: sites.isActive })
      .from(rooms)
      .innerJoin(sites, and(eq(sites.clinicId, rooms.clinicId), eq(sites.id, rooms.siteId)))
      .where(eq(rooms.clinicId, clinicId)),
    db.select({ onDate: holidays.onDate }).from(holidays).where(eq(holidays.clinicId, clinicId)),
  ])
  const sessionIds = sessionRows.map(({ id }) => id)
  const exceptions =
    sessionIds.length === 0
      ? []
      : await db
          .select()
          .from(sessionExceptions)
          .where(and(eq(sessionExceptions.clinicId, clinicId), inArray(sessionExceptions.sessionId, sessionIds)))
  const exceptionsOf = Map.groupBy(exceptions, ({ sessionId }) => sessionId)
  return {
    sessions: sessionRows.map((row) => ({
      ...sessionOf(row, exceptionsOf.get(row.id) ?? []),
      isPaused: row.status === 'paused',
    })),
    holidays: holidayRows.map(({ onDate }) => onDate),
    clinicians: new Map(clinicianRows.map(({ id, languages }) => [id, languages])),
    interpreters: new Map(interpreterRows.map(({ id, languages }) => [id, languages])),
    licences: licenceRows,
    rooms: new Map(
      roomRows.map(({ id, siteId, state, room, site }) => [id, { siteId, state, isActive: room && site }]),
    ),
  }
}
