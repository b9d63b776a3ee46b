/** Which clinics are here, and how is one reached? For pages that somebody sees before anybody is known. */
import { getClinic, listClinics } from '#db/queries/clinics.ts'
import type { Ctx } from './context.ts'

export type ClinicContact = { name: string; phone: string; emergencyNumber: string }

/** For the sign-in page, by name. */
export async function readClinics(ctx: Omit<Ctx, 'actor'>): Promise<{ id: string; name: string }[]> {
  return (await listClinics(ctx.db)).map(({ id, name }) => ({ id, name }))
}

/** How to reach this clinic, by id or slug, or the only one there is; null where neither is known. */
export async function readClinicContact(ctx: Omit<Ctx, 'actor'>, named: string | null): Promise<ClinicContact | null> {
  const clinics = await listClinics(ctx.db)
  const clinic =
    clinics.find(({ id, slug }) => id === named || slug === named) ?? (clinics.length === 1 ? clinics[0] : undefined)
  if (!clinic) return null
  const { name, phone, emergencyNumber } = await getClinic(ctx.db, clinic.id)
  return { name, phone, emergencyNumber }
}
