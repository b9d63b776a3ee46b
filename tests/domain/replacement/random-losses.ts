/** Lost sessions made up by a seed: visits that have to move, and the starts of the clinic's other openings. */
import { LEVELS, type MoveCost, type Option, type VisitToPlace } from '#lib/domain/replacement/placement.ts'

const MINUTE = 60_000
const DAY = 24 * 60 * MINUTE

export type LossShape = {
  visits: number
  /** Distinct starts of the calendar. */
  starts: number
  clinicians: number
  rooms: number
  interpreters: number
  /** Share of the starts that a visit could have. */
  share: number
  /** Minutes between starts, and of a visit. */
  grain: number
  length: number
}

/** Starts lie on the grain, side by side, so that taking one closes its neighbours. */
export function randomLoss(shape: LossShape, random: () => number): VisitToPlace[] {
  const perClinician = Math.ceil(shape.starts / shape.clinicians)
  const perDay = Math.max(1, Math.min(perClinician, Math.floor(240 / shape.grain)))
  const pick = (count: number) => Math.floor(random() * count)
  return Array.from({ length: shape.visits }, (_, n): VisitToPlace => {
    const was = 9 * 60 + n * shape.grain
    const seeByDay = 1 + pick(12)
    const needsRoom = shape.rooms > 0 && random() < 0.5
    const needsInterpreter = shape.interpreters > 0 && random() < 0.3
    const length = shape.length + shape.grain * pick(2)
    const options: Option[] = []
    for (let index = 0; index < shape.starts; index += 1) {
      if (random() >= shape.share) continue
      const clinician = index % shape.clinicians
      const at = Math.floor(index / shape.clinicians)
      const day = 1 + Math.floor(at / perDay)
      const minute = 9 * 60 + (at % perDay) * shape.grain
      const start = day * DAY + minute * MINUTE
      const end = start + length * MINUTE
      const cost: MoveCost = {
        missed: Number(day > seeByDay),
        unplaced: 0,
        otherClinician: Number(clinician !== 0),
        days: day,
        minutes: Math.abs(minute - was),
      }
      options.push({
        start: {
          clinicianId: `c${clinician}`,
          sessionId: `s${clinician}`,
          mode: needsRoom ? 'in_person' : 'video',
          start,
          end,
          busyFrom: start,
          busyTo: end + 5 * MINUTE,
          siteId: null,
          roomId: needsRoom ? `r${pick(shape.rooms)}` : null,
          interpreterId: needsInterpreter ? `i${pick(shape.interpreters)}` : null,
        },
        cost,
      })
    }
    return { visitId: `v${n}`, patientId: `p${n}`, options, unplaced: NOWHERE }
  })
}

const NOWHERE = Object.fromEntries(
  LEVELS.map((level) => [level, Number(level === 'missed' || level === 'unplaced')]),
) as MoveCost
