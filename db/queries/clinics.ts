/** The clinic itself: its zone, phone numbers and policy. */
import { asc, eq } from 'drizzle-orm'
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
  const [row] = await db.select().from(clinics).where(eq(clinics.id, clinicId))
  if (!row) throw new Error('clinic of the actor is missing')
  return withHolidays(db, row)
}

export async function findClinicBySlug(db: Db, slug: string): Promise<Clinic | null> {
  const [row] = await db.select().from(clinics).where(eq(clinics.slug, slug))
  return row ? withHolidays(db, row) : null
}

/** Every clinic of this installation, for the sign-in page and the worker. */
export async function listClinics(db: Db): Promise<{ id: string; slug: string; name: string }[]> {
  return db.select({ id: clinics.id, slug: clinics.slug, name: clinics.name }).from(clinics).orderBy(asc(clinics.name))
}

async function withHolidays(db: Db, row: typeof clinics.$inferSelect): Promise<Clinic> {
  const { policy, createdAt: _, ...clinic } = row
  const days = await db
    .select({ on: holidays.onDate })
    .from(holidays)
    .where(eq(holidays.clinicId, row.id))
    .orderBy(asc(holidays.onDate))
  return { ...clinic, policy: clinicPolicySchema.parse(policy), holidays: days.map((day) => day.on) }
}
