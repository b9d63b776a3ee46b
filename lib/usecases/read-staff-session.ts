/** Who holds this cookie? Asked at each request, so a sign-out, a closed account or a changed role counts everywhere at once. */
import { findStaffSession, touchStaffSession } from '#db/queries/staff.ts'
import { Temporal } from '#lib/base/time.ts'
import type { StaffActor } from '#lib/domain/access/actor.ts'
import { sessionEnd, TOUCH_AFTER_SEC } from '#lib/domain/access/session-limits.ts'
import type { Ctx } from './context.ts'
import type { SessionHandle } from './steps/begin-staff-session.ts'

export type StaffSession = {
  actor: StaffActor
  sessionId: string
  name: string
  clinic: { name: string; timeZone: string }
  /** Milliseconds until it ends if nothing more is done. */
  leftMs: number
}

/** Null when there is none, or it has run out. Reading counts as activity unless the page asked by itself. */
export async function readStaffSession(
  ctx: Omit<Ctx, 'actor'>,
  { clinicId, staffId, sessionId, isActivity }: SessionHandle & { isActivity: boolean },
): Promise<StaffSession | null> {
  const now = ctx.now()
  const row = await findStaffSession(ctx.db, clinicId, sessionId)
  if (!row || row.staffId !== staffId || Temporal.Instant.compare(sessionEnd(row), now) <= 0) return null
  const isDue = Temporal.Instant.compare(row.lastSeenAt.add({ seconds: TOUCH_AFTER_SEC }), now) <= 0
  const isSeen = isActivity && isDue
  if (isSeen) await touchStaffSession(ctx.db, clinicId, sessionId, now)
  const ends = sessionEnd(isSeen ? { ...row, lastSeenAt: now } : row)
  return {
    actor: { kind: 'staff', clinicId, id: staffId, role: row.role, clinicianId: row.clinicianId },
    sessionId,
    name: row.name,
    clinic: { name: row.clinicName, timeZone: row.clinicTimeZone },
    leftMs: ends.epochMilliseconds - now.epochMilliseconds,
  }
}
