/** The people of a clinic as it keeps them: clinicians with their licences, and interpreters. Given up, never deleted. */
import { and, asc, eq, inArray, sql } from 'drizzle-orm'
import type { Db } from '../client.ts'
import { clinicians, interpreters, licences, visits } from '../schema/index.ts'

export type KeptLicence = { id: string; state: string; validFrom: string; validTo: string | null }
type Person = {
  id: string
  name: string
  languages: string[]
  timeZone: string
  isActive: boolean
  version: number
}
export type KeptClinician = Person & { credentials: string; licences: KeptLicence[] }
export type KeptInterpreter = Person

export async function listClinicians(db: Db, clinicId: string): Promise<KeptClinician[]> {
  return selectClinicians(db, clinicId, undefined)
}

export async function findClinician(db: Db, clinicId: string, id: string): Promise<KeptClinician | null> {
  const [found] = await selectClinicians(db, clinicId, eq(clinicians.id, id))
  return found ?? null
}

async function selectClinicians(db: Db, clinicId: string, where: ReturnType<typeof eq> | undefined) {
  const rows = await db
    .select()
    .from(clinicians)
    .where(and(eq(clinicians.clinicId, clinicId), where))
    .orderBy(asc(clinicians.name), asc(clinicians.id))
  if (rows.length === 0) return []
  const held = await db
    .select()
    .from(licences)
    .where(
      and(
        eq(licences.clinicId, clinicId),
        inArray(
          licences.clinicianId,
          rows.map(({ id }) => id),
        ),
      ),
    )
    .orderBy(asc(licences.state), asc(licences.validFrom), asc(licences.id))
  const of = Map.groupBy(held, ({ clinicianId }) => clinicianId)
  return rows.map(({ clinicId: _, ...row }) => ({
    ...row,
    licences: (of.get(row.id) ?? []).map(({ id, state, validFrom, validTo }) => ({ id, state, validFrom, validTo })),
  }))
}

export async function listInterpreters(db: Db, clinicId: string): Promise<KeptInterpreter[]> {
  return selectInterpreters(db, clinicId, undefined)
}

export async function findInterpreter(db: Db, clinicId: string, id: string): Promise<KeptInterpreter | null> {
  const [found] = await selectInterpreters(db, clinicId, eq(interpreters.id, id))
  return found ?? null
}

async function selectInterpreters(db: Db, clinicId: string, where: ReturnType<typeof eq> | undefined) {
  const rows = await db
    .select()
    .from(interpreters)
    .where(and(eq(interpreters.clinicId, clinicId), where))
    .orderBy(asc(interpreters.name), asc(interpreters.id))
  return rows.map(({ clinicId: _, ...row }) => row)
}

export type PersonToWrite = Omit<Person, 'version'>

/** Writes a new clinician, or the next version of one that is there. */
export async function writeClinician(
  tx: Db,
  clinicId: string,
  { id, ...person }: PersonToWrite & { credentials: string },
): Promise<void> {
  await tx
    .insert(clinicians)
    .values({ ...person, id, clinicId })
    .onConflictDoUpdate({
      target: [clinicians.clinicId, clinicians.id],
      set: { ...person, version: sql`${clinicians.version} + 1` },
    })
}

/** Writes a new interpreter, or the next version of one that is there. */
export async function writeInterpreter(tx: Db, clinicId: string, { id, ...person }: PersonToWrite): Promise<void> {
  await tx
    .insert(interpreters)
    .values({ ...person, id, clinicId })
    .onConflictDoUpdate({
      target: [interpreters.clinicId, interpreters.id],
      set: { ...person, version: sql`${interpreters.version} + 1` },
    })
}

/** Writes a licence, new or changed; with it its clinician has a new version. */
export async function writeLicence(
  tx: Db,
  clinicId: string,
  clinicianId: string,
  { id, ...licence }: KeptLicence,
): Promise<void> {
  await tx
    .insert(licences)
    .values({ ...licence, id, clinicId, clinicianId })
    .onConflictDoUpdate({ target: [licences.clinicId, licences.id], set: licence })
  await raiseVersion(tx, clinicId, clinicianId)
}

/** Takes away a licence that was written by mistake. */
export async function deleteLicence(tx: Db, clinicId: string, clinicianId: string, id: string): Promise<void> {
  await tx.delete(licences).where(and(eq(licences.clinicId, clinicId), eq(licences.id, id)))
  await raiseVersion(tx, clinicId, clinicianId)
}

async function raiseVersion(tx: Db, clinicId: string, clinicianId: string): Promise<void> {
  await tx
    .update(clinicians)
    .set({ version: sql`${clinicians.version} + 1` })
    .where(and(eq(clinicians.clinicId, clinicId), eq(clinicians.id, clinicianId)))
}

/** Whether a visit was ever booked that this licence stood for: then it is kept. */
export async function isLicenceUsed(
  db: Db,
  clinicId: string,
  clinicianId: string,
  { state, validFrom, validTo }: KeptLicence,
): Promise<boolean> {
  const [row] = await db
    .select({ id: visits.id })
    .from(visits)
    .where(
      and(
        eq(visits.clinicId, clinicId),
        eq(visits.clinicianId, clinicianId),
        eq(visits.placeState, state),
        inArray(visits.status, ['booked', 'done', 'no_show']),
        sql`(${visits.startsAt} at time zone ${visits.patientTimeZone})::date between ${validFrom}::date and coalesce(${validTo}::date, 'infinity'::date)`,
      ),
    )
    .limit(1)
  return row !== undefined
}
