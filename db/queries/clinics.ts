/** The clinic itself: its zone, phone numbers and policy. */
import { asc, eq, type SQL, sql } from 'drizzle-orm'
import { type ClinicPolicy, clinicPolicySchema } from '#lib/domain/policy/clinic-policy.ts'
import type { Db } from '../client.ts'
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
  const clinic = await findClinic(db, eq(clinics.id, clinicId))
  if (!clinic) throw new Error('clinic of the actor is missing')
  return clinic
}

export async function findClinicBySlug(db: Db, slug: string): Promise<Clinic | null> {
  return findClinic(db, eq(clinics.slug, slug))
}

/** Every clinic of this installation, for the sign-in page and the worker. */
export async function listClinics(db: Db): Promise<{ id: string; slug: string; name: string }[]> {
  return db.select({ id: clinics.id, slug: clinics.slug, name: clinics.name }).from(clinics).orderBy(asc(clinics.name))
}

async function findClinic(db: Db, which: SQL): Promise<Clinic | null> {
  const [row] = await db
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
  return row ? { ...row, policy: clinicPolicySchema.parse(row.policy) } : null
}
