/** The clinic itself: its zone, phone numbers and policy. */
import { asc, eq, type SQL, sql } from 'drizzle-orm'
import { type ClinicPolicy, clinicPolicySchema } from '#lib/domain/policy/clinic-policy.ts'
import type { Db } from '../client.ts'
import { prepared } from '../prepared.ts'
import { clinics, holidays } from '../schema/index.ts'

export type Clinic = {
  id: string
  slug: string
  name: string
  timeZone: string
  phone: string
  emergencyNumber: string
  policy: ClinicPolicy
  /** Dates, yyyy-mm-dd. */
  holidays: string[]
}

/** Throws when the clinic is missing: an actor always has one. */
export async function getClinic(db: Db, clinicId: string): Promise<Clinic> {
  const [row] = await selectById(db, { clinicId })
  if (!row) throw new Error('clinic of the actor is missing')
  return withPolicy(row)
}

const selectById = prepared('clinic', (db) => selectClinic(db, eq(clinics.id, sql.placeholder('clinicId'))))

export async function findClinicBySlug(db: Db, slug: string): Promise<Clinic | null> {
  const [row] = await selectClinic(db, eq(clinics.slug, slug))
  return row ? withPolicy(row) : null
}

/** Every clinic of this installation, for the sign-in page and the worker. */
export async function listClinics(db: Db): Promise<{ id: string; slug: string; name: string }[]> {
  return db.select({ id: clinics.id, slug: clinics.slug, name: clinics.name }).from(clinics).orderBy(asc(clinics.name))
}

function withPolicy<T extends { policy: unknown }>(row: T): T & { policy: ClinicPolicy } {
  return { ...row, policy: clinicPolicySchema.parse(row.policy) }
}

function selectClinic(db: Db, which: SQL) {
  return db
    .select({
      id: clinics.id,
      slug: clinics.slug,
      name: clinics.name,
      timeZone: clinics.timeZone,
      phone: clinics.phone,
      emergencyNumber: clinics.emergencyNumber,
      policy: clinics.policy,
      holidays: sql<string[]>`array(
        select ${holidays.onDate}::text from ${holidays} where ${holidays.clinicId} = ${clinics.id} order by 1)`,
    })
    .from(clinics)
    .where(which)
}
