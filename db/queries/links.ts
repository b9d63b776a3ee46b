/** Personal links and the phones on which they were opened. Only hashes are kept. */
import { and, eq, isNull, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Db } from '../client.ts'
import { insertMany } from '../insert-many.ts'
import { patientLinks, patientSessions, patients, referrals } from '../schema/index.ts'

export async function insertLinks(tx: Db, rows: readonly (typeof patientLinks.$inferInsert)[]): Promise<void> {
  await insertMany(tx, patientLinks, rows)
}

/** The link with what opens it, locked, so that two guesses at once count as two. */
export async function findLinkForUpdate(tx: Db, clinicId: string, tokenHash: string) {
  const [row] = await tx
    .select({
      id: patientLinks.id,
      referralId: patientLinks.referralId,
      expiresAt: patientLinks.expiresAt,
      revokedAt: patientLinks.revokedAt,
      failedTries: patientLinks.failedTries,
      patientId: patients.id,
      birthDate: patients.birthDate,
    })
    .from(patientLinks)
    .innerJoin(referrals, and(eq(referrals.clinicId, patientLinks.clinicId), eq(referrals.id, patientLinks.referralId)))
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .where(and(eq(patientLinks.clinicId, clinicId), eq(patientLinks.tokenHash, tokenHash)))
    .for('update', { of: patientLinks })
  return row ?? null
}

/** How a link stands and whose language to speak, for the page that asks for the date of birth. */
export async function findLink(db: Db, clinicId: string, tokenHash: string) {
  const [row] = await db
    .select({
      expiresAt: patientLinks.expiresAt,
      revokedAt: patientLinks.revokedAt,
      failedTries: patientLinks.failedTries,
      language: patients.language,
    })
    .from(patientLinks)
    .innerJoin(referrals, and(eq(referrals.clinicId, patientLinks.clinicId), eq(referrals.id, patientLinks.referralId)))
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .where(and(eq(patientLinks.clinicId, clinicId), eq(patientLinks.tokenHash, tokenHash)))
  return row ?? null
}

export async function countWrongTry(tx: Db, clinicId: string, linkId: string): Promise<void> {
  await tx
    .update(patientLinks)
    .set({ failedTries: sql`${patientLinks.failedTries} + 1` })
    .where(and(eq(patientLinks.clinicId, clinicId), eq(patientLinks.id, linkId)))
}

export async function clearWrongTries(tx: Db, clinicId: string, linkId: string): Promise<void> {
  await tx
    .update(patientLinks)
    .set({ failedTries: 0 })
    .where(and(eq(patientLinks.clinicId, clinicId), eq(patientLinks.id, linkId)))
}

export async function insertPatientSession(tx: Db, row: typeof patientSessions.$inferInsert): Promise<void> {
  await tx.insert(patientSessions).values(row)
}

/** The open session of this cookie, unless it or its link has been ended. */
export async function findPatientSession(db: Db, clinicId: string, tokenHash: string) {
  const [row] = await db
    .select({
      id: patientSessions.id,
      createdAt: patientSessions.createdAt,
      lastSeenAt: patientSessions.lastSeenAt,
      referralId: patientLinks.referralId,
      linkExpiresAt: patientLinks.expiresAt,
      patientId: referrals.patientId,
      language: patients.language,
    })
    .from(patientSessions)
    .innerJoin(
      patientLinks,
      and(eq(patientLinks.clinicId, patientSessions.clinicId), eq(patientLinks.id, patientSessions.linkId)),
    )
    .innerJoin(referrals, and(eq(referrals.clinicId, patientLinks.clinicId), eq(referrals.id, patientLinks.referralId)))
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .where(
      and(
        eq(patientSessions.clinicId, clinicId),
        eq(patientSessions.tokenHash, tokenHash),
        isNull(patientSessions.endedAt),
        isNull(patientLinks.revokedAt),
      ),
    )
  return row ?? null
}

export async function touchPatientSession(db: Db, clinicId: string, id: string, at: Temporal.Instant): Promise<void> {
  await db
    .update(patientSessions)
    .set({ lastSeenAt: at })
    .where(and(eq(patientSessions.clinicId, clinicId), eq(patientSessions.id, id)))
}

export async function endPatientSession(tx: Db, clinicId: string, id: string, at: Temporal.Instant): Promise<void> {
  await tx
    .update(patientSessions)
    .set({ endedAt: at })
    .where(and(eq(patientSessions.clinicId, clinicId), eq(patientSessions.id, id), isNull(patientSessions.endedAt)))
}
