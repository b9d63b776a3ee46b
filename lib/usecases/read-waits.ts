/** How long does a routine patient wait for each clinician, by video and in person? The third next available start. */
import { getClinic } from '#db/queries/clinics.ts'
import { listActiveClinicians } from '#db/queries/supply.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { type WorkedOutWaits, workOutWaits } from './steps/work-out-waits.ts'

/** Instants are ISO text. */
export type Waits = WorkedOutWaits & {
  computedAt: string
  timeZone: string
  /** Clinicians without any session in the horizon. */
  without: string[]
}
export type ReadWaitsError = { code: 'not_allowed' }

/** Works the waits out from what is booked and held at this moment. */
export async function readWaits(ctx: Ctx): Promise<Result<Waits, ReadWaitsError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'waits.read', { clinicId })) return err({ code: 'not_allowed' })
  const clinic = await getClinic(ctx.db, clinicId)
  const worked = await workOutWaits(ctx.db, clinic, now)
  const everybody = await listActiveClinicians(ctx.db, clinicId)
  const listed = new Set(worked.lines.map(({ clinicianId: id }) => id))
  return ok({
    computedAt: now.toString(),
    timeZone: clinic.timeZone,
    ...worked,
    without: everybody.filter(({ id }) => !listed.has(id)).map(({ name }) => name),
  })
}
