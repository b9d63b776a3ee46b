/** Would a session's owner have to be in two places at once? Asked with the owner locked, so that two changes cannot both say no. */
import type { Db } from '#db/client.ts'
import type { Concerned } from '#db/queries/at-stake.ts'
import { type KeptSession, listSessions } from '#db/queries/sessions.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { ClinicSession, SessionOwner } from '#lib/domain/calendar/session.ts'
import { firstOverlap } from '#lib/domain/calendar/session-overlap.ts'

/** `onDate` in the zone of the session that was asked about; `with` may be that session itself. */
export type Meeting = { with: Pick<KeptSession, 'session' | 'siteName' | 'roomName'> | null; onDate: string }

/** The first date on which the session meets another active one of its owner, or one of its own; null = it never does. */
export async function meetingOf(
  db: Db,
  clinicId: string,
  session: ClinicSession,
  now: Temporal.Instant,
): Promise<Meeting | null> {
  const others = (await listSessions(db, clinicId, session.owner)).filter(
    (other) => other.status === 'active' && other.session.id !== session.id,
  )
  const today = now.toZonedDateTimeISO(session.timeZone).toPlainDate().toString()
  const overlap = firstOverlap(
    session,
    others.map((other) => other.session),
    today,
  )
  if (!overlap) return null
  return { with: others.find((other) => other.session.id === overlap.sessionId) ?? null, onDate: overlap.onDate }
}

/** Whose visits a change of this person's sessions can touch. */
export function concernedBy({ kind, id }: SessionOwner): Concerned {
  return kind === 'clinician' ? { clinicianId: id } : { interpreterId: id }
}
