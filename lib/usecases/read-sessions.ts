/** Every session that a person may keep, with how it stands and when it opens next; and what a new one can be made of. */
import { getClinic } from '#db/queries/clinics.ts'
import { listHolidays } from '#db/queries/holidays.ts'
import { listClinicians, listInterpreters } from '#db/queries/people.ts'
import { type KeptSite, listSites } from '#db/queries/places.ts'
import { findSession, type KeptSession, listSessions } from '#db/queries/sessions.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { Actor } from '#lib/domain/access/actor.ts'
import { may } from '#lib/domain/access/policy.ts'
import { nextDates, type SessionDate } from '#lib/domain/calendar/next-dates.ts'
import type { SessionOwner } from '#lib/domain/calendar/session.ts'
import type { Ctx } from './context.ts'

export type SessionLine = KeptSession & {
  /** As people speak of it: a session whose last date is past has ended. */
  standing: KeptSession['status']
  /** The next date on which it is open; null = none any more. */
  next: SessionDate | null
}
export type OwnerChoice = { owner: SessionOwner; name: string; timeZone: string }
export type SessionsView = {
  today: string
  timeZone: string
  sessions: SessionLine[]
  /** Who may be given a session, by name. */
  owners: OwnerChoice[]
  sites: KeptSite[]
}

/** A clinician sees their own. */
export async function readSessions(ctx: Ctx): Promise<SessionsView> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const [clinic, sessions, clinicians, interpreters, sites, holidays] = await Promise.all([
    getClinic(ctx.db, clinicId),
    listSessions(ctx.db, clinicId, null),
    listClinicians(ctx.db, clinicId),
    listInterpreters(ctx.db, clinicId),
    listSites(ctx.db, clinicId),
    holidayNames(ctx),
  ])
  const owners: OwnerChoice[] = [
    ...clinicians.map((person) => ({ kind: 'clinician' as const, ...person })),
    ...interpreters.map((person) => ({ kind: 'interpreter' as const, ...person })),
  ].flatMap(({ kind, id, name, timeZone, isActive }) => {
    const owner = { kind, id }
    return isActive && mayKeep(ctx.actor, owner) ? [{ owner, name, timeZone }] : []
  })
  return {
    today: now.toZonedDateTimeISO(clinic.timeZone).toPlainDate().toString(),
    timeZone: clinic.timeZone,
    sessions: sessions
      .filter(({ session }) => mayKeep(ctx.actor, session.owner))
      .map((kept) => ({ ...kept, standing: standingOf(kept, now), next: nextOpen(kept, now, holidays) })),
    owners,
    sites,
  }
}

export type SessionView = SessionLine & {
  today: string
  /** In the session's own zone. */
  todayThere: string
  dates: SessionDate[]
  /** Dates of which one can be changed by itself: enough to look most of a year ahead. */
  choices: SessionDate[]
  sites: KeptSite[]
}
const CHOICES = 40
export type ReadSessionError = { code: 'session_not_found' }

export async function readSession(
  ctx: Ctx,
  { sessionId }: { sessionId: string },
): Promise<Result<SessionView, ReadSessionError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const kept = await findSession(ctx.db, clinicId, sessionId)
  if (!kept || !mayKeep(ctx.actor, kept.session.owner)) return err({ code: 'session_not_found' })
  const [clinic, sites, holidays] = await Promise.all([
    getClinic(ctx.db, clinicId),
    listSites(ctx.db, clinicId),
    holidayNames(ctx),
  ])
  const standing = standingOf(kept, now)
  const choices = standing === 'ended' ? [] : nextDates(kept.session, now.epochMilliseconds, holidays, CHOICES)
  const todayIn = (timeZone: string) => now.toZonedDateTimeISO(timeZone).toPlainDate().toString()
  return ok({
    ...kept,
    standing,
    next: nextOpen(kept, now, holidays),
    today: todayIn(clinic.timeZone),
    todayThere: todayIn(kept.session.timeZone),
    dates: choices.slice(0, 8),
    choices,
    sites,
  })
}

async function holidayNames(ctx: Ctx): Promise<Map<string, string>> {
  return new Map((await listHolidays(ctx.db, ctx.actor.clinicId)).map(({ onDate, name }) => [onDate, name]))
}

function mayKeep(actor: Actor, owner: SessionOwner): boolean {
  const clinicianId = owner.kind === 'clinician' ? owner.id : null
  return may(actor, 'session.write', { clinicId: actor.clinicId, clinicianId })
}

function standingOf({ status, session }: KeptSession, now: Temporal.Instant): KeptSession['status'] {
  const today = now.toZonedDateTimeISO(session.timeZone).toPlainDate().toString()
  const last = session.rule === null ? session.startsOn : session.validTo
  const isOver =
    last !== null && last < today && !session.exceptions.some((one) => one.kind === 'moved' && one.toDate >= today)
  return isOver ? 'ended' : status
}

function nextOpen(
  { session, status }: KeptSession,
  now: Temporal.Instant,
  holidays: ReadonlyMap<string, string>,
): SessionDate | null {
  if (status === 'ended') return null
  return nextDates(session, now.epochMilliseconds, holidays, 8).find(({ isOpen }) => isOpen) ?? null
}
