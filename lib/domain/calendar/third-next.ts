/**
 * How long does a routine patient wait? The third next available start: days
 * from the request to the third open slot, because the first two may be chance
 * cancellations. Calendar days, weekends included, the same day is 0, held
 * slots are not counted (IHI; WellSouth's counting convention), nor are starts
 * that are still kept for urgent visits: a routine patient can't have them. Slots
 * are counted so that all three could be booked: each takes its visit and buffers.
 */
import type { Demand } from './demand.ts'
import { compile, nextStart, servingTerms } from './query.ts'
import type { PreparedSupply, VisitMode } from './supply.ts'
import type { WorkingHours } from './working-time.ts'
import { DAY_MS, toWall } from './zone-clock.ts'

export type ThirdNextAsk = {
  clinicianId: string
  mode: VisitMode
  minutes: number
  now: number
  timeZone: string
  /** The hours in which a session counts until it lets its kept starts go. */
  workingHours: WorkingHours
}
export type ThirdNext = { days: number; start: number }

/** Null when fewer than three slots are open in the prepared range. */
export function thirdNext(supply: PreparedSupply, ask: ThirdNextAsk): ThirdNext | null {
  const query = compile(supply, anyPatient(ask), true)
  const openings = servingTerms(query)
    .flatMap((terms) => terms.openings.map((opening) => ({ terms, opening })))
    .sort((a, b) => a.opening.start - b.opening.start)
  let free = Number.NEGATIVE_INFINITY
  let counted = 0
  for (const { terms, opening } of openings) {
    for (;;) {
      const start = nextStart(query, terms, opening, free + terms.before)
      if (start === Number.POSITIVE_INFINITY) break
      counted += 1
      if (counted === 3) {
        const day = (instant: number) => Math.floor(toWall(query.clock, instant) / DAY_MS)
        return { days: day(start) - day(ask.now), start }
      }
      free = start + query.length + terms.after
    }
  }
  return null
}

function anyPatient({ clinicianId, mode, minutes, now, timeZone, workingHours }: ThirdNextAsk): Demand {
  return {
    minutes,
    mode,
    now,
    notBefore: now,
    seeBy: null,
    horizonDays: Number.POSITIVE_INFINITY,
    patientId: null,
    patientTimeZone: timeZone,
    patientWindows: [],
    helperWindows: [],
    helper: null,
    interpreterLanguage: null,
    placeState: null,
    siteIds: [],
    clinician: { clinicianId, only: true },
    dayPart: null,
    anyNotice: false,
    keptBy: workingHours,
    releasable: [],
    limit: 3,
    perDay: null,
  }
}
