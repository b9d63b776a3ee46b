/**
 * What can matter to one search: the sessions that may open in a range, who owns them, and what is taken in it. A
 * handful of queries, sent together, whatever the size of the clinic. A hold that ran out is not read, so it blocks nobody.
 */
import { and, eq, gt, gte, inArray, isNull, lt, lte, ne, or, sql } from 'drizzle-orm'
import type { AnyPgColumn } from 'drizzle-orm/pg-core'
import { Temporal } from '#lib/base/time.ts'
import type { ClinicSession, SessionException } from '#lib/domain/calendar/session.ts'
import type { Busy, Supply } from '#lib/domain/calendar/supply.ts'
import type { Db } from '../client.ts'
import {
  clinicians,
  clinicSessions,
  holidays,
  interpreters,
  licences,
  rooms,
  sessionExceptions,
  sites,
  visits,
} from '../schema/index.ts'

export type SupplyRange = {
  from: Temporal.Instant
  to: Temporal.Instant
  now: Temporal.Instant
  /** Whose other visits must not overlap. */
  patientId: string
  /** Its own claims stand in nobody's way: a new one takes their place. */
  referralId: string
  /** Only this clinician's sessions; null = everybody's. */
  clinicianId: string | null
}

export type NamedSupply = Omit<Supply, 'clinicians' | 'interpreters' | 'sites' | 'rooms'> & {
  clinicians: readonly { id: string; name: string; credentials: string; languages: readonly string[] }[]
  interpreters: readonly { id: string; name: string; languages: readonly string[] }[]
  sites: readonly { id: string; name: string; address: string; state: string; timeZone: string }[]
  rooms: readonly { id: string; siteId: string; name: string }[]
}

/** Loads the supply of one clinic for starts in a range, with the names that people read. */
export async function loadSupply(db: Db, clinicId: string, range: SupplyRange): Promise<NamedSupply> {
  const { clinicianId } = range
  // A day more on each side: the range is instants, dates are wall dates somewhere.
  const firstDate = dateOf(range.from.subtract({ hours: 48 }))
  const lastDate = dateOf(range.to.add({ hours: 48 }))
  // Hours until kept starts come free are counted from now on, however far ahead the range lies.
  const since = Temporal.Instant.compare(range.now, range.from) < 0 ? range.now : range.from
  const sinceDate = dateOf(since.subtract({ hours: 48 }))

  const movedHere = db
    .select({ one: sql`1` })
    .from(sessionExceptions)
    .where(
      and(
        eq(sessionExceptions.clinicId, clinicSessions.clinicId),
        eq(sessionExceptions.sessionId, clinicSessions.id),
        gte(sessionExceptions.toDate, firstDate),
      ),
    )
  const mayOpen = and(
    eq(clinicSessions.clinicId, clinicId),
    eq(clinicSessions.status, 'active'),
    lte(clinicSessions.startsOn, lastDate),
    or(isNull(clinicSessions.validTo), gte(clinicSessions.validTo, firstDate), sql`exists ${movedHere}`),
    clinicianId === null
      ? undefined
      : or(eq(clinicSessions.clinicianId, clinicianId), sql`${clinicSessions.interpreterId} is not null`),
  )

  const [sessions, exceptions, people, places, busy] = await Promise.all([
    db.select().from(clinicSessions).where(mayOpen),
    db
      .select()
      .from(sessionExceptions)
      .where(
        and(
          eq(sessionExceptions.clinicId, clinicId),
          or(
            and(gte(sessionExceptions.onDate, firstDate), lte(sessionExceptions.onDate, lastDate)),
            and(gte(sessionExceptions.toDate, firstDate), lte(sessionExceptions.toDate, lastDate)),
          ),
        ),
      ),
    loadPeople(db, clinicId, firstDate, lastDate, clinicianId),
    loadPlaces(db, clinicId, sinceDate, lastDate),
    loadBusy(db, clinicId, range),
  ])
  const exceptionsOf = Map.groupBy(exceptions, (exception) => exception.sessionId)
  return {
    ...people,
    ...places,
    busy,
    sessions: sessions.map((row) => sessionOf(row, exceptionsOf.get(row.id) ?? [])),
  }
}

async function loadPeople(db: Db, clinicId: string, firstDate: string, lastDate: string, clinicianId: string | null) {
  const [clinicianRows, interpreterRows, licenceRows] = await Promise.all([
    db
      .select({
        id: clinicians.id,
        name: clinicians.name,
        credentials: clinicians.credentials,
        languages: clinicians.languages,
      })
      .from(clinicians)
      .where(
        and(
          eq(clinicians.clinicId, clinicId),
          eq(clinicians.isActive, true),
          clinicianId === null ? undefined : eq(clinicians.id, clinicianId),
        ),
      )
      .orderBy(clinicians.name, clinicians.id),
    db
      .select({ id: interpreters.id, name: interpreters.name, languages: interpreters.languages })
      .from(interpreters)
      .where(and(eq(interpreters.clinicId, clinicId), eq(interpreters.isActive, true)))
      .orderBy(interpreters.id),
    db
      .select({
        clinicianId: licences.clinicianId,
        state: licences.state,
        validFrom: licences.validFrom,
        validTo: licences.validTo,
      })
      .from(licences)
      .where(
        and(
          eq(licences.clinicId, clinicId),
          lte(licences.validFrom, lastDate),
          or(isNull(licences.validTo), gte(licences.validTo, firstDate)),
          clinicianId === null ? undefined : eq(licences.clinicianId, clinicianId),
        ),
      ),
  ])
  return { clinicians: clinicianRows, interpreters: interpreterRows, licences: licenceRows }
}

async function loadPlaces(db: Db, clinicId: string, firstDate: string, lastDate: string) {
  const [siteRows, roomRows, holidayRows] = await Promise.all([
    db
      .select({
        id: sites.id,
        name: sites.name,
        address: sites.address,
        state: sites.state,
        timeZone: sites.timeZone,
      })
      .from(sites)
      .where(and(eq(sites.clinicId, clinicId), eq(sites.isActive, true)))
      .orderBy(sites.id),
    db
      .select({ id: rooms.id, siteId: rooms.siteId, name: rooms.name })
      .from(rooms)
      .where(and(eq(rooms.clinicId, clinicId), eq(rooms.isActive, true)))
      .orderBy(rooms.id),
    db
      .select({ onDate: holidays.onDate })
      .from(holidays)
      .where(and(eq(holidays.clinicId, clinicId), gte(holidays.onDate, firstDate), lte(holidays.onDate, lastDate))),
  ])
  return { sites: siteRows, rooms: roomRows, holidays: holidayRows.map((row) => row.onDate) }
}

/** Visits are at most a day long, so those that touch the range start at most a day before it. */
async function loadBusy(db: Db, clinicId: string, range: SupplyRange): Promise<Busy[]> {
  const milliseconds = (column: AnyPgColumn) => sql<number>`(extract(epoch from ${column}) * 1000)::float8`
  const rows = await db
    .select({
      clinicianId: visits.clinicianId,
      interpreterId: visits.interpreterId,
      roomId: visits.roomId,
      patientId: visits.patientId,
      startsAt: milliseconds(visits.startsAt),
      endsAt: milliseconds(visits.endsAt),
      busyFrom: milliseconds(visits.busyFrom),
      busyTo: milliseconds(visits.busyTo),
    })
    .from(visits)
    .where(
      and(
        eq(visits.clinicId, clinicId),
        gte(visits.startsAt, range.from.subtract({ hours: 24 })),
        lt(visits.startsAt, range.to.add({ hours: 24 })),
        or(
          inArray(visits.status, ['booked', 'done', 'no_show']),
          and(eq(visits.status, 'held'), gt(visits.holdExpiresAt, range.now)),
        ),
        or(ne(visits.referralId, range.referralId), inArray(visits.status, ['done', 'no_show'])),
      ),
    )
  return rows.flatMap((row) => {
    const during = { start: row.startsAt, end: row.endsAt }
    const busy: Busy[] = [{ resource: 'clinician', id: row.clinicianId, start: row.busyFrom, end: row.busyTo }]
    if (row.interpreterId !== null) busy.push({ resource: 'interpreter', id: row.interpreterId, ...during })
    if (row.roomId !== null) busy.push({ resource: 'room', id: row.roomId, ...during })
    if (row.patientId === range.patientId) busy.push({ resource: 'patient', id: row.patientId, ...during })
    return busy
  })
}

/** A session as the calendar reads it. */
export function sessionOf(
  row: typeof clinicSessions.$inferSelect,
  exceptions: readonly (typeof sessionExceptions.$inferSelect)[],
): ClinicSession {
  const { clinicId: _, clinicianId, interpreterId, status: __, version: ___, createdAt: ____, ...session } = row
  return {
    ...session,
    owner:
      clinicianId === null ? { kind: 'interpreter', id: interpreterId ?? '' } : { kind: 'clinician', id: clinicianId },
    exceptions: exceptions.flatMap(exceptionOf),
  }
}

/** The table's check keeps the times of whatever is not closed. */
function exceptionOf(row: typeof sessionExceptions.$inferSelect): SessionException[] {
  const { kind, onDate, opensAt, durationMin } = row
  if (kind === 'closed' || opensAt === null || durationMin === null) return [{ kind: 'closed', onDate }]
  if (kind === 'shortened') return [{ kind, onDate, opensAt, durationMin }]
  return [{ kind, onDate, toDate: row.toDate ?? onDate, opensAt, durationMin }]
}

function dateOf(at: Temporal.Instant): string {
  return at.toZonedDateTimeISO('UTC').toPlainDate().toString()
}
