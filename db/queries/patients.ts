/** Patients. Never deleted: two records of one person are joined by moving the referrals. */
import { and, eq, exists, inArray, isNull, or, sql } from 'drizzle-orm'
import { invariant } from '#lib/base/invariant.ts'
import type { Candidate, MatchReason } from '#lib/domain/intake/matching.ts'
import type { Db } from '../client.ts'
import { insertMany } from '../insert-many.ts'
import { patientMatches, patients, referrals } from '../schema/index.ts'

export type Patient = typeof patients.$inferSelect
export type NewPatient = typeof patients.$inferInsert

export async function insertPatients(tx: Db, rows: readonly NewPatient[]): Promise<void> {
  await insertMany(tx, patients, rows)
}

export async function findPatient(db: Db, clinicId: string, id: string): Promise<Patient | null> {
  const [row] = await db
    .select()
    .from(patients)
    .where(and(eq(patients.clinicId, clinicId), eq(patients.id, id)))
  return row ?? null
}

/** Throws when the patient is missing: a referral always has one. */
export async function getPatient(db: Db, clinicId: string, id: string): Promise<Patient> {
  const patient = await findPatient(db, clinicId, id)
  invariant(patient, 'a referral has a patient')
  return patient
}

export async function findPatientOfReferral(db: Db, clinicId: string, referralId: string) {
  const [row] = await db
    .select({ patient: patients, referral: referrals })
    .from(referrals)
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .where(and(eq(referrals.clinicId, clinicId), eq(referrals.id, referralId)))
  return row ?? null
}

export async function findPatientForUpdate(tx: Db, clinicId: string, id: string): Promise<Patient | null> {
  const [row] = await tx
    .select()
    .from(patients)
    .where(and(eq(patients.clinicId, clinicId), eq(patients.id, id)))
    .for('update')
  return row ?? null
}

/** Changes a patient that the caller has locked; the version rises. */
export async function updatePatient(tx: Db, clinicId: string, id: string, change: Partial<NewPatient>): Promise<void> {
  await tx
    .update(patients)
    .set({ ...change, version: sql`${patients.version} + 1` })
    .where(and(eq(patients.clinicId, clinicId), eq(patients.id, id)))
}

/** What any likely match shares with somebody new; see `candidate-index.ts`. */
export type SharedWith = { birthDates: string[]; phones: string[]; emails: string[] }

/** People who may be somebody the clinic knows: those who share something, or everybody. Only people with a referral. */
export async function listCandidates(
  db: Db,
  clinicId: string,
  sharing: SharedWith | 'everybody',
): Promise<Candidate[]> {
  const { id, givenName, familyName, birthDate, phone, email } = patients
  const hasReferral = exists(
    db
      .select({ one: sql`1` })
      .from(referrals)
      .where(and(eq(referrals.clinicId, patients.clinicId), eq(referrals.patientId, patients.id))),
  )
  const shares =
    sharing === 'everybody'
      ? undefined
      : or(
          isNull(birthDate),
          sharing.birthDates.length > 0 ? inArray(birthDate, sharing.birthDates) : undefined,
          sharing.phones.length > 0 ? inArray(phone, sharing.phones) : undefined,
          sharing.emails.length > 0 ? inArray(sql`lower(${email})`, sharing.emails) : undefined,
        )
  return db
    .select({ id, givenName, familyName, birthDate, phone, email })
    .from(patients)
    .where(and(eq(patients.clinicId, clinicId), hasReferral, shares))
}

export type NewMatch = { clinicId: string; referralId: string; candidateId: string; because: MatchReason[] }

export async function insertMatches(tx: Db, rows: readonly NewMatch[]): Promise<void> {
  await insertMany(tx, patientMatches, rows)
}

export async function listMatchRows(db: Db, clinicId: string, referralId: string) {
  return db
    .select()
    .from(patientMatches)
    .where(and(eq(patientMatches.clinicId, clinicId), eq(patientMatches.referralId, referralId)))
}

export type MatchAnswer = Pick<typeof patientMatches.$inferSelect, 'decision' | 'decidedBy' | 'decidedAt'>

export async function decideMatchRow(
  tx: Db,
  clinicId: string,
  referralId: string,
  candidateId: string,
  answer: MatchAnswer,
): Promise<void> {
  await tx
    .update(patientMatches)
    .set(answer)
    .where(
      and(
        eq(patientMatches.clinicId, clinicId),
        eq(patientMatches.referralId, referralId),
        eq(patientMatches.candidateId, candidateId),
      ),
    )
}

/** Undecided questions "is it this person?" about one record, after it was joined to another: they are about that one now. */
export async function moveOpenMatches(tx: Db, clinicId: string, from: string, to: string): Promise<void> {
  const open = and(
    eq(patientMatches.clinicId, clinicId),
    eq(patientMatches.candidateId, from),
    isNull(patientMatches.decision),
  )
  const rows = await tx.select().from(patientMatches).where(open)
  if (rows.length === 0) return
  await tx
    .insert(patientMatches)
    .values(rows.map((row) => ({ ...row, candidateId: to })))
    .onConflictDoNothing()
  await tx.delete(patientMatches).where(open)
}
