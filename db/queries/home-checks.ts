/** Where the patient will be, whom to call and when people are free. */
import { and, eq, sql } from 'drizzle-orm'
import { z } from 'zod'
import type { WeeklyWindow } from '#lib/domain/calendar/weekly-window.ts'
import type { Db } from '../client.ts'
import { homeChecks, patients, referrals } from '../schema/index.ts'

const windowSchema = z.strictObject({ weekday: z.number().int().min(1).max(7), from: z.string(), to: z.string() })
const windowsSchema = z.array(windowSchema)

export type HomeCheck = Omit<
  typeof homeChecks.$inferSelect,
  'patientWindows' | 'helperWindows' | 'clinicId' | 'referralId'
> & {
  patientWindows: WeeklyWindow[]
  helperWindows: WeeklyWindow[]
}

export async function findHomeCheck(db: Db, clinicId: string, referralId: string): Promise<HomeCheck | null> {
  const [row] = await db
    .select()
    .from(homeChecks)
    .where(and(eq(homeChecks.clinicId, clinicId), eq(homeChecks.referralId, referralId)))
  if (!row) return null
  const { clinicId: _clinic, referralId: _referral, patientWindows, helperWindows, ...rest } = row
  return {
    ...rest,
    patientWindows: windowsSchema.parse(patientWindows),
    helperWindows: windowsSchema.parse(helperWindows),
  }
}

export type HomeCheckChange = Partial<Omit<HomeCheck, 'version'>>

/** Creates the row on first use; every change raises its version. */
export async function saveHomeCheck(
  tx: Db,
  clinicId: string,
  referralId: string,
  change: HomeCheckChange,
): Promise<void> {
  await tx
    .insert(homeChecks)
    .values({ clinicId, referralId, ...change })
    .onConflictDoUpdate({
      target: [homeChecks.clinicId, homeChecks.referralId],
      set: { ...change, version: sql`${homeChecks.version} + 1` },
    })
}

/** Whose home check it is, and what it is asked for. */
export async function findHomeCheckCase(db: Db, clinicId: string, referralId: string) {
  const [row] = await db
    .select({
      protocolId: referrals.protocolId,
      protocolVersion: referrals.protocolVersion,
      conditionId: referrals.conditionId,
      side: referrals.side,
      stage: referrals.stage,
      isStopped: referrals.isStopped,
      patient: {
        givenName: patients.givenName,
        familyName: patients.familyName,
        birthDate: patients.birthDate,
        email: patients.email,
        language: patients.language,
        phone: patients.phone,
        state: patients.state,
        timeZone: patients.timeZone,
        addressLine: patients.addressLine,
        city: patients.city,
      },
    })
    .from(referrals)
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .where(and(eq(referrals.clinicId, clinicId), eq(referrals.id, referralId)))
  return row ?? null
}
