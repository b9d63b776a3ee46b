/** People who sign in, and the browsers in which they did. */
import { and, eq, isNull, lt } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Db } from '../client.ts'
import { clinics, staff, staffSessions } from '../schema/index.ts'

/** The active person with this address in this clinic. Addresses are kept in lower case. */
export async function findStaffByEmail(db: Db, clinicId: string, email: string) {
  const [row] = await db
    .select({ id: staff.id, passwordHash: staff.passwordHash })
    .from(staff)
    .where(and(eq(staff.clinicId, clinicId), eq(staff.email, email), eq(staff.isActive, true)))
  return row ?? null
}

/** Everybody active with this address, in any clinic: for a sign-in that names the person but no clinic. */
export async function listStaffByEmail(db: Db, email: string): Promise<{ clinicId: string; id: string }[]> {
  return db
    .select({ clinicId: staff.clinicId, id: staff.id })
    .from(staff)
    .where(and(eq(staff.email, email), eq(staff.isActive, true)))
}

export async function insertStaffSession(tx: Db, row: typeof staffSessions.$inferInsert): Promise<void> {
  await tx.insert(staffSessions).values(row)
}

/** A session with the person as they are now: a changed role or a closed account counts from the next request on. */
export async function findStaffSession(db: Db, clinicId: string, sessionId: string) {
  const [row] = await db
    .select({
      staffId: staff.id,
      name: staff.name,
      role: staff.role,
      clinicianId: staff.clinicianId,
      createdAt: staffSessions.createdAt,
      lastSeenAt: staffSessions.lastSeenAt,
      endedAt: staffSessions.endedAt,
      clinicName: clinics.name,
      clinicTimeZone: clinics.timeZone,
    })
    .from(staffSessions)
    .innerJoin(staff, and(eq(staff.clinicId, staffSessions.clinicId), eq(staff.id, staffSessions.staffId)))
    .innerJoin(clinics, eq(clinics.id, staffSessions.clinicId))
    .where(and(eq(staffSessions.clinicId, clinicId), eq(staffSessions.id, sessionId), eq(staff.isActive, true)))
  return row ?? null
}

/** Only ever forward: of two requests at once the later one counts. */
export async function touchStaffSession(
  db: Db,
  clinicId: string,
  sessionId: string,
  now: Temporal.Instant,
): Promise<void> {
  await db
    .update(staffSessions)
    .set({ lastSeenAt: now })
    .where(
      and(
        eq(staffSessions.clinicId, clinicId),
        eq(staffSessions.id, sessionId),
        isNull(staffSessions.endedAt),
        lt(staffSessions.lastSeenAt, now),
      ),
    )
}

/** Whether there was an open session to end. */
export async function endStaffSession(
  tx: Db,
  clinicId: string,
  sessionId: string,
  now: Temporal.Instant,
): Promise<boolean> {
  const ended = await tx
    .update(staffSessions)
    .set({ endedAt: now })
    .where(and(eq(staffSessions.clinicId, clinicId), eq(staffSessions.id, sessionId), isNull(staffSessions.endedAt)))
    .returning({ id: staffSessions.id })
  return ended.length > 0
}
