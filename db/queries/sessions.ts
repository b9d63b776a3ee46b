/** Clinic sessions as people keep them: with their owner, their place, how they stand and which version it is. */
import { and, asc, eq, inArray, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { ClinicSession, SessionException, SessionOwner } from '#lib/domain/calendar/session.ts'
import type { Db } from '../client.ts'
import { clinicians, clinicSessions, interpreters, rooms, sessionExceptions, sites } from '../schema/index.ts'
import { sessionOf } from './supply.ts'

export type SessionStatus = (typeof clinicSessions.$inferSelect)['status']
export type KeptSession = {
  session: ClinicSession
  status: SessionStatus
  version: number
  ownerName: string
  isOwnerActive: boolean
  siteName: string | null
  roomName: string | null
}

/** Every session of a clinic, or of one owner, whatever its status; by owner, then by the hour. */
export async function listSessions(db: Db, clinicId: string, owner: SessionOwner | null): Promise<KeptSession[]> {
  const ofOwner =
    owner === null
      ? undefined
      : eq(owner.kind === 'clinician' ? clinicSessions.clinicianId : clinicSessions.interpreterId, owner.id)
  return select(db, clinicId, ofOwner)
}

export async function findSession(db: Db, clinicId: string, id: string): Promise<KeptSession | null> {
  const [found] = await select(db, clinicId, eq(clinicSessions.id, id))
  return found ?? null
}

async function select(db: Db, clinicId: string, where: ReturnType<typeof eq> | undefined): Promise<KeptSession[]> {
  const rows = await db
    .select({
      row: clinicSessions,
      clinicianName: clinicians.name,
      interpreterName: interpreters.name,
      isClinicianActive: clinicians.isActive,
      isInterpreterActive: interpreters.isActive,
      siteName: sites.name,
      roomName: rooms.name,
    })
    .from(clinicSessions)
    .leftJoin(
      clinicians,
      and(eq(clinicians.clinicId, clinicSessions.clinicId), eq(clinicians.id, clinicSessions.clinicianId)),
    )
    .leftJoin(
      interpreters,
      and(eq(interpreters.clinicId, clinicSessions.clinicId), eq(interpreters.id, clinicSessions.interpreterId)),
    )
    .leftJoin(sites, and(eq(sites.clinicId, clinicSessions.clinicId), eq(sites.id, clinicSessions.siteId)))
    .leftJoin(rooms, and(eq(rooms.clinicId, clinicSessions.clinicId), eq(rooms.id, clinicSessions.roomId)))
    .where(and(eq(clinicSessions.clinicId, clinicId), where))
    .orderBy(
      sql`coalesce(${clinicians.name}, ${interpreters.name})`,
      asc(clinicSessions.opensAt),
      asc(clinicSessions.id),
    )
  if (rows.length === 0) return []
  const exceptions = await db
    .select()
    .from(sessionExceptions)
    .where(
      and(
        eq(sessionExceptions.clinicId, clinicId),
        inArray(
          sessionExceptions.sessionId,
          rows.map(({ row }) => row.id),
        ),
      ),
    )
    .orderBy(asc(sessionExceptions.onDate))
  const exceptionsOf = Map.groupBy(exceptions, ({ sessionId }) => sessionId)
  return rows.map(({ row, siteName, roomName, ...owner }) => ({
    session: sessionOf(row, exceptionsOf.get(row.id) ?? []),
    status: row.status,
    version: row.version,
    ownerName: owner.clinicianName ?? owner.interpreterName ?? '',
    isOwnerActive: owner.isClinicianActive ?? owner.isInterpreterActive ?? false,
    siteName,
    roomName,
  }))
}

/** What a session is made of, without its exceptions: they are rows of their own. */
function columnsOf({ owner, exceptions: _, ...session }: ClinicSession) {
  return {
    ...session,
    clinicianId: owner.kind === 'clinician' ? owner.id : null,
    interpreterId: owner.kind === 'interpreter' ? owner.id : null,
  }
}

export async function insertSession(
  tx: Db,
  clinicId: string,
  session: ClinicSession,
  at: Temporal.Instant,
): Promise<void> {
  await tx.insert(clinicSessions).values({ ...columnsOf(session), clinicId, createdAt: at })
}

/** Writes the next version of a session. Its exceptions stay as they are. */
export async function updateSession(
  tx: Db,
  clinicId: string,
  session: ClinicSession,
  status: SessionStatus,
): Promise<void> {
  await tx
    .update(clinicSessions)
    .set({ ...columnsOf(session), status, version: sql`${clinicSessions.version} + 1` })
    .where(and(eq(clinicSessions.clinicId, clinicId), eq(clinicSessions.id, session.id)))
}

/** What is different about one date, in the place of whatever was; with null it follows the rule again. */
export async function writeException(
  tx: Db,
  clinicId: string,
  sessionId: string,
  onDate: string,
  exception: SessionException | null,
): Promise<void> {
  await tx
    .delete(sessionExceptions)
    .where(
      and(
        eq(sessionExceptions.clinicId, clinicId),
        eq(sessionExceptions.sessionId, sessionId),
        eq(sessionExceptions.onDate, onDate),
      ),
    )
  if (exception) await tx.insert(sessionExceptions).values({ ...exception, clinicId, sessionId })
}
