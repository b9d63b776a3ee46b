/**
 * Adds a clinic session, or changes one: a new version of the same session, because visits were booked in it. What was
 * typed is looked at first (its words, its next dates, the visits it would strand) and saved when that was seen.
 */
import { recordAudit } from '#db/queries/audit.ts'
import { listHolidays } from '#db/queries/holidays.ts'
import { findClinician, findInterpreter } from '#db/queries/people.ts'
import { findSite } from '#db/queries/places.ts'
import { findSession, insertSession, updateSession, writeException } from '#db/queries/sessions.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { nextDates, type SessionDate } from '#lib/domain/calendar/next-dates.ts'
import type { ClinicSession, SessionOwner } from '#lib/domain/calendar/session.ts'
import {
  type DraftFault,
  type RawSession,
  readSession,
  withoutStrayExceptions,
} from '#lib/domain/calendar/session-draft.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { type Confirmation, changeClinic, type NotSavedYet } from './steps/change-clinic.ts'
import { allAhead, freeTime } from './steps/free-time.ts'
import { concernedBy, type Meeting, meetingOf } from './steps/meeting-of.ts'

export type SaveSessionInput = Confirmation & {
  key: string
  /** Null = a new one. */
  sessionId: string | null
  /** The version that was on the page; null with a new one. */
  version: number | null
  /** Read for a new one; whose a session is never changes. */
  owner: SessionOwner | null
  raw: RawSession
}

export type SessionFault =
  | DraftFault
  | { field: 'owner'; code: 'required' | 'given_up' }
  | { field: 'siteId' | 'roomId'; code: 'given_up' }

/** What somebody sees before it is saved. */
export type SessionLook = {
  session: ClinicSession
  siteName: string | null
  roomName: string | null
  dates: SessionDate[]
  /** Dates whose exception falls away with the change. */
  strays: string[]
}
export type SavedSession = { sessionId: string; version: number }
type Refusal =
  | { code: 'not_found' }
  | { code: 'changed_meanwhile' }
  | { code: 'faults'; faults: SessionFault[] }
  | ({ code: 'overlaps' } & Meeting)
type Looked = NotSavedYet & { look: SessionLook }
export type SaveSessionError = Refusal | Looked | Repeated

/** Saves a session, or says what saving it would do. */
export async function saveSession(ctx: Ctx, input: SaveSessionInput): Promise<Result<SavedSession, SaveSessionError>> {
  const now = ctx.now()
  const { key, sessionId, raw } = input
  const { clinicId } = ctx.actor
  const seen = sessionId === null ? null : await findSession(ctx.db, clinicId, sessionId)
  if (sessionId !== null && !seen) return err({ code: 'not_found' })
  const owner = seen?.session.owner ?? input.owner
  if (owner === null) return err({ code: 'faults', faults: [{ field: 'owner', code: 'required' }, ...faultsOf(raw)] })
  const clinicianId = owner.kind === 'clinician' ? owner.id : null
  if (!may(ctx.actor, 'session.write', { clinicId, clinicianId })) return err({ code: 'not_found' })

  return once<SavedSession, Refusal | Looked>(ctx, { key, kind: 'save_session' }, async (tx) => {
    let look: SessionLook | null = null
    const changed = await changeClinic<SavedSession, Refusal>(tx, ctx, concernedBy(owner), input, async () => {
      const kept = sessionId === null ? null : await findSession(tx, clinicId, sessionId)
      if (sessionId !== null && !kept) return err({ code: 'not_found' })
      if (kept && kept.version !== input.version) return err({ code: 'changed_meanwhile' })
      const id = sessionId ?? ctx.newId('ses')
      const read = readSession(raw, { id, owner, exceptions: kept?.session.exceptions ?? [] })
      if (!read.ok) return err({ code: 'faults', faults: read.error })
      const { session, strays } = withoutStrayExceptions(read.value)

      const place = await placeOf(tx, clinicId, session)
      if (!place.ok) return err({ code: 'faults', faults: [place.error] })
      if (!kept && !(await isOwnerActive(tx, clinicId, owner)))
        return err({ code: 'faults', faults: [{ field: 'owner', code: 'given_up' }] })
      const holidays = new Map((await listHolidays(tx, clinicId)).map(({ onDate, name }) => [onDate, name]))
      const dates = nextDates(session, now.epochMilliseconds, holidays, 8)
      if (dates.length === 0)
        return err({
          code: 'faults',
          faults: [{ field: session.validTo === null ? 'startsOn' : 'validTo', code: 'over' }],
        })
      // A paused session offers nothing; it is looked at again when it goes on.
      const status = kept?.status === 'paused' ? 'paused' : 'active'
      const meeting = status === 'active' ? await meetingOf(tx, clinicId, session, now) : null
      if (meeting) return err({ code: 'overlaps', ...meeting })
      look = { session, ...place.value, dates, strays }

      if (kept) {
        await updateSession(tx, clinicId, session, status)
        for (const stray of strays) await writeException(tx, clinicId, id, stray, null)
      } else await insertSession(tx, clinicId, session, now)
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: kept ? 'session.changed' : 'session.added',
        subject: id,
        before: kept?.session ?? null,
        after: session,
      })
      // Whoever waits for a sooner start may find one in what was added.
      if (owner.kind === 'clinician' && status === 'active') await freeTime(tx, ctx, await allAhead(tx, ctx, owner.id))
      return ok({ sessionId: id, version: (kept?.version ?? 0) + 1 })
    })
    if (changed.ok || !('effects' in changed.error)) return changed as Result<SavedSession, Refusal>
    return err({ ...changed.error, look: look as unknown as SessionLook })
  })
}

function faultsOf(raw: RawSession): DraftFault[] {
  const read = readSession(raw, { id: '', owner: { kind: 'clinician', id: '' }, exceptions: [] })
  return read.ok ? [] : read.error
}

type Place = { siteName: string | null; roomName: string | null }

/** Where it is, if that is still used: a site or a room with a session in it is not given up. */
async function placeOf(
  db: Ctx['db'],
  clinicId: string,
  { siteId, roomId }: ClinicSession,
): Promise<Result<Place, SessionFault>> {
  if (siteId === null) return ok({ siteName: null, roomName: null })
  const site = await findSite(db, clinicId, siteId)
  if (!site?.isActive) return err({ field: 'siteId', code: 'given_up' })
  if (roomId === null) return ok({ siteName: site.name, roomName: null })
  const room = site.rooms.find(({ id }) => id === roomId)
  if (!room?.isActive) return err({ field: 'roomId', code: 'given_up' })
  return ok({ siteName: site.name, roomName: room.name })
}

async function isOwnerActive(db: Ctx['db'], clinicId: string, { kind, id }: SessionOwner): Promise<boolean> {
  const find = kind === 'clinician' ? findClinician : findInterpreter
  return (await find(db, clinicId, id))?.isActive ?? false
}
