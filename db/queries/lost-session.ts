/**
 * Moving many visits at once. One may take the time another gives up, and the constraints look at every row as it is
 * written; so all of them are first taken out of everybody's way, and then each is written where it goes. Nobody else ever
 * sees the moment between.
 */
import { and, eq, inArray, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Db } from '../client.ts'
import { rooms, visits } from '../schema/index.ts'
import { type ClaimedStart, changeVisit, type Preparation } from './visits.ts'

/** Takes booked visits out of everybody's way, until `placeParked` in the same transaction. */
export async function parkVisits(tx: Db, clinicId: string, visitIds: readonly string[]): Promise<void> {
  if (visitIds.length === 0) return
  await tx
    .update(visits)
    .set({ status: 'lapsed' })
    .where(and(eq(visits.clinicId, clinicId), inArray(visits.id, [...visitIds])))
}

/** Writes a parked visit where it goes. What the patient reads of it changes only with a new sequence number (RFC 5546). */
export async function placeParked(
  tx: Db,
  clinicId: string,
  visitId: string,
  {
    start,
    preparation,
    isNews,
    at,
  }: { start: ClaimedStart; preparation: Preparation; isNews: boolean; at: Temporal.Instant },
): Promise<void> {
  const calendarSequence = sql`${visits.calendarSequence} + ${isNews ? 1 : 0}`
  await changeVisit(tx, clinicId, visitId, at, { ...start, ...preparation, status: 'booked', calendarSequence })
}

/** Other claims of some patients, so that no visit is put beside another of the same person. */
export async function listClaimsOfPatients(
  db: Db,
  clinicId: string,
  patientIds: readonly string[],
  but: readonly string[],
): Promise<{ patientId: string; start: number; end: number }[]> {
  if (patientIds.length === 0) return []
  const rows = await db
    .select({ id: visits.id, patientId: visits.patientId, startsAt: visits.startsAt, endsAt: visits.endsAt })
    .from(visits)
    .where(
      and(
        eq(visits.clinicId, clinicId),
        eq(visits.status, 'booked'),
        inArray(visits.patientId, [...new Set(patientIds)]),
      ),
    )
  return rows
    .filter(({ id }) => !but.includes(id))
    .map(({ patientId, startsAt, endsAt }) => ({
      patientId,
      start: startsAt.epochMilliseconds,
      end: endsAt.epochMilliseconds,
    }))
}

/** The site of each room. */
export async function listSiteOfRooms(db: Db, clinicId: string): Promise<ReadonlyMap<string, string>> {
  const rows = await db.select({ id: rooms.id, siteId: rooms.siteId }).from(rooms).where(eq(rooms.clinicId, clinicId))
  return new Map(rows.map(({ id, siteId }) => [id, siteId]))
}
