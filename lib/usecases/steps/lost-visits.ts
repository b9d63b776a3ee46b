/** Which visits does a lost session take with it? Those that have their place now and would have none without it. */
import type { Db } from '#db/client.ts'
import { loadClinicAsItIs, type VisitAtStake } from '#db/queries/at-stake.ts'
import type { KeptSession } from '#db/queries/sessions.ts'
import type { Temporal } from '#lib/base/time.ts'
import { type Loss, lossesOf, newlyLost } from '#lib/domain/booking/stranded.ts'
import type { Interval } from '#lib/domain/calendar/interval.ts'
import { expandSession } from '#lib/domain/calendar/session.ts'
import { type LostTime, withoutLost } from '#lib/domain/replacement/lost-time.ts'

export type LostVisit = VisitAtStake & { losses: Loss[] }

/** Of visits at stake, those that are lost; a visit that has begun can't be moved any more and is left out. */
export async function lostVisits(
  db: Db,
  clinicId: string,
  { session }: Pick<KeptSession, 'session'>,
  lost: LostTime,
  atStake: readonly VisitAtStake[],
  now: Temporal.Instant,
): Promise<LostVisit[]> {
  const ahead = atStake.filter(({ start }) => start > now.epochMilliseconds)
  if (ahead.length === 0) return []
  const clinic = await loadClinicAsItIs(db, clinicId, ahead)
  const rest = withoutLost(session, lost)
  const sessions = clinic.sessions.flatMap((each) =>
    each.id !== session.id ? [each] : rest === null ? [] : [{ ...rest, isPaused: each.isPaused }],
  )
  const after = lossesOf({ ...clinic, sessions }, ahead)
  const gone = new Set(newlyLost(lossesOf(clinic, ahead), after))
  return ahead.flatMap((visit) =>
    gone.has(visit.visitId) ? [{ ...visit, losses: after.get(visit.visitId) ?? [] }] : [],
  )
}

/** The openings that are lost, as far as the clinic books ahead; empty = the session does not open then. */
export function lostOpenings(
  { session }: Pick<KeptSession, 'session'>,
  lost: LostTime,
  holidays: readonly string[],
  from: Temporal.Instant,
  to: Temporal.Instant,
): Interval[] {
  const rest = withoutLost(session, lost)
  const left = new Set((rest ? expandSession(rest, from, to, holidays) : []).map(({ start }) => start))
  return expandSession(session, from, to, holidays).filter(({ start }) => !left.has(start))
}
