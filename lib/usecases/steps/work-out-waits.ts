/** The third next available start of every clinician and mode, from what is booked and held at this moment. */
import type { Db } from '#db/client.ts'
import type { Clinic } from '#db/queries/clinics.ts'
import { loadSupply } from '#db/queries/supply.ts'
import { Temporal } from '#lib/base/time.ts'
import { prepareSupply, type VisitMode } from '#lib/domain/calendar/supply.ts'
import { thirdNext } from '#lib/domain/calendar/third-next.ts'

export type WaitLine = {
  clinicianId: string
  name: string
  credentials: string
  mode: VisitMode
  /** Null = fewer than three starts are open within the horizon. */
  third: { days: number; startsAt: string } | null
}

export type WorkedOutWaits = {
  horizonDays: number
  /** As long as a slot is counted: the same for both modes, so that they can be compared. */
  minutes: number
  /** By name; a clinician has a line for each mode in which they have a session. */
  lines: WaitLine[]
}

const MODES: readonly VisitMode[] = ['video', 'in_person']

export async function workOutWaits(
  db: Db,
  { id: clinicId, policy, timeZone }: Clinic,
  now: Temporal.Instant,
): Promise<WorkedOutWaits> {
  const { horizonDays } = policy.booking
  const to = now.add({ hours: 24 * horizonDays })
  const range = { from: now, to, now, patientId: '', referralId: '', clinicianId: null, interpreting: null }
  const supply = await loadSupply(db, clinicId, range)
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
  return { horizonDays, minutes, lines }
}
