/** People who sign in, and the browsers in which they did. */
import { and, asc, eq, isNull, lt, max, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Role } from '#lib/domain/access/actor.ts'
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

export type Account = {
  id: string
  name: string
  email: string
  role: Role
  clinicianId: string | null
  isActive: boolean
}
export type AccountLine = Account & { hasPassphrase: boolean; lastSeenAt: Temporal.Instant | null }

const accountColumns = {
  id: staff.id,
  name: staff.name,
  email: staff.email,
  role: staff.role,
  clinicianId: staff.clinicianId,
  isActive: staff.isActive,
}

/** Everybody who can sign in or could, with when they were last here. */
export async function listAccounts(db: Db, clinicId: string): Promise<AccountLine[]> {
  const seen = db
    .select({ staffId: staffSessions.staffId, at: max(staffSessions.lastSeenAt).as('seen_at') })
    .from(staffSessions)
    .where(eq(staffSessions.clinicId, clinicId))
    .groupBy(staffSessions.staffId)
    .as('seen')
  return db
    .select({
      ...accountColumns,
      hasPassphrase: sql<boolean>`${staff.passwordHash} is not null`,
      lastSeenAt: seen.at,
    })
    .from(staff)
    .leftJoin(seen, eq(seen.staffId, staff.id))
    .where(eq(staff.clinicId, clinicId))
    .orderBy(asc(staff.name), asc(staff.id))
}

/** All accounts of the clinic, locked: whether somebody is left to keep them is a question about all. */
export async function lockAccounts(tx: Db, clinicId: string): Promise<Account[]> {
  return tx
    .select(accountColumns)
    .from(staff)
    .where(eq(staff.clinicId, clinicId))
    .orderBy(asc(staff.id))
    .for('no key update')
}

/** Writes a new account or changes one; without a hash they keep the passphrase they have. */
export async function writeAccount(
  tx: Db,
  clinicId: string,
  { id, ...account }: Account,
  { passwordHash, at }: { passwordHash: string | null; at: Temporal.Instant },
): Promise<void> {
  await tx
    .insert(staff)
    .values({ ...account, id, clinicId, passwordHash, createdAt: at })
    .onConflictDoUpdate({
      target: [staff.clinicId, staff.id],
      set: { ...account, ...(passwordHash !== null && { passwordHash }) },
    })
}

export async function findPasswordHash(db: Db, clinicId: string, id: string): Promise<string | null> {
  const [row] = await db
    .select({ hash: staff.passwordHash })
    .from(staff)
    .where(and(eq(staff.clinicId, clinicId), eq(staff.id, id), eq(staff.isActive, true)))
  return row?.hash ?? null
}

export async function setPasswordHash(tx: Db, clinicId: string, id: string, passwordHash: string): Promise<void> {
  await tx
    .update(staff)
    .set({ passwordHash })
    .where(and(eq(staff.clinicId, clinicId), eq(staff.id, id)))
}

/** Signs somebody out everywhere. */
export async function endSessionsOf(tx: Db, clinicId: string, staffId: string, now: Temporal.Instant): Promise<void> {
  await tx
    .update(staffSessions)
    .set({ endedAt: now })
    .where(and(eq(staffSessions.clinicId, clinicId), eq(staffSessions.staffId, staffId), isNull(staffSessions.endedAt)))
}
