/** How long does a routine patient wait for each clinician, by video and in person? The third next available start. */
import { getClinic } from '#db/queries/clinics.ts'
import { listActiveClinicians, loadSupply } from '#db/queries/supply.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { prepareSupply, type VisitMode } from '#lib/domain/calendar/supply.ts'
import { thirdNext } from '#lib/domain/calendar/third-next.ts'
import type { Ctx } from './context.ts'

export type WaitLine = {
  clinicianId: string
  name: string
  credentials: string
  mode: VisitMode
  /** Null = fewer than three starts are open within the horizon. */
  third: { days: number; startsAt: string } | null
}

/** Instants are ISO text. */
export type Waits = {
  computedAt: string
  timeZone: string
  horizonDays: number
  /** As long as a slot is counted: the same for both modes, so that they can be compared. */
  minutes: number
  /** By name; a clinician has a line for each mode in which they have a session. */
  lines: WaitLine[]
  /** Clinicians without any session in the horizon. */
  without: string[]
}
export type ReadWaitsError = { code: 'not_allowed' }

const MODES: readonly VisitMode[] = ['video', 'in_person']

/** Works the waits out from what is booked and held at this moment. */
export async function readWaits(ctx: Ctx): Promise<Result<Waits, ReadWaitsError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'waits.read', { clinicId })) return err({ code: 'not_allowed' })
  const { policy, timeZone } = await getClinic(ctx.db, clinicId)
  const { horizonDays } = policy.booking
  const to = now.add({ hours: 24 * horizonDays })
  const range = { from: now, to, now, patientId: '', referralId: '', clinicianId: null, interpreting: null }
  const [supply, everybody] = await Promise.all([
    loadSupply(ctx.db, clinicId, range),
    listActiveClinicians(ctx.db, clinicId),
  ])
  const prepared = prepareSupply(supply, now.epochMilliseconds, to.epochMilliseconds)
  const workingHours = { timeZone, opensAt: policy.opensAt, closesAt: policy.closesAt }
  const minutes = policy.visit.inPersonMin

  const lines = supply.clinicians.flatMap(({ id, name, credentials }) => {
    const own = supply.sessions.filter(({ owner }) => owner.kind === 'clinician' && owner.id === id)
    return MODES.filter((mode) => own.some((session) => session.mode === 'either' || session.mode === mode)).map(
      (mode): WaitLine => {
        const ask = { clinicianId: id, mode, minutes, now: now.epochMilliseconds, timeZone, workingHours }
        const third = thirdNext(prepared, ask)
        return {
          clinicianId: id,
          name,
          credentials,
          mode,
          third: third && {
            days: third.days,
            startsAt: Temporal.Instant.fromEpochMilliseconds(third.start).toString(),
          },
        }
      },
    )
  })
  const listed = new Set(lines.map(({ clinicianId }) => clinicianId))
  return ok({
    computedAt: now.toString(),
    timeZone,
    horizonDays,
    minutes,
    lines,
    without: everybody.filter(({ id }) => !listed.has(id)).map(({ name }) => name),
  })
}
