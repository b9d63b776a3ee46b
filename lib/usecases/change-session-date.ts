/** Makes one date of a session differ from its rule (closed, moved, other hours), or lets it follow the rule again. */
import { recordAudit } from '#db/queries/audit.ts'
import { findSession, updateSession, writeException } from '#db/queries/sessions.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { checkSession, isDate } from '#lib/domain/calendar/check-session.ts'
import type { SessionException } from '#lib/domain/calendar/session.ts'
import { readTime } from '#lib/domain/calendar/session-draft.ts'
import { wallOfTime } from '#lib/domain/calendar/zone-clock.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { type Confirmation, changeClinic, type NotSavedYet } from './steps/change-clinic.ts'
import { concernedBy, type Meeting, meetingOf } from './steps/meeting-of.ts'

/** As it was typed; dates as yyyy-mm-dd. Kind null = follows the rule again. */
export type RawException = {
  onDate: string
  kind: 'closed' | 'moved' | 'shortened' | '' | null
  toDate: string
  opensAt: string
  closesAt: string
}
export type ExceptionFault = {
  field: 'onDate' | 'kind' | 'toDate' | 'opensAt' | 'closesAt'
  code:
    | 'required'
    | 'not_a_date'
    | 'not_a_time'
    | 'before_opens'
    /** The session does not open on this date by its rule. */
    | 'not_in_rule'
    | 'past'
    /** Other hours on a date are never more than the rule gives. */
    | 'longer_than_rule'
}

export type ChangeSessionDateInput = Confirmation & {
  key: string
  sessionId: string
  /** The version that was on the page. */
  version: number
  raw: RawException
}
export type ChangedSessionDate = { sessionId: string; version: number }
type Refusal =
  | { code: 'not_found' }
  | { code: 'changed_meanwhile' }
  | { code: 'faults'; faults: ExceptionFault[] }
  | ({ code: 'overlaps' } & Meeting)
export type ChangeSessionDateError = Refusal | NotSavedYet | Repeated

export async function changeSessionDate(
  ctx: Ctx,
  input: ChangeSessionDateInput,
): Promise<Result<ChangedSessionDate, ChangeSessionDateError>> {
  const now = ctx.now()
  const { key, sessionId, version, raw } = input
  const { clinicId } = ctx.actor
  const seen = await findSession(ctx.db, clinicId, sessionId)
  if (!seen) return err({ code: 'not_found' })
  const { owner, timeZone } = seen.session
  const clinicianId = owner.kind === 'clinician' ? owner.id : null
  if (!may(ctx.actor, 'session.write', { clinicId, clinicianId })) return err({ code: 'not_found' })
  const today = now.toZonedDateTimeISO(timeZone).toPlainDate().toString()
  const read = readException(raw, today)
  if (!read.ok) return err({ code: 'faults', faults: read.error })
  const exception = read.value

  return once<ChangedSessionDate, Refusal | NotSavedYet>(ctx, { key, kind: 'change_session_date' }, (tx) =>
    changeClinic<ChangedSessionDate, Refusal>(tx, ctx, concernedBy(owner), input, async () => {
      const kept = await findSession(tx, clinicId, sessionId)
      if (!kept) return err({ code: 'not_found' })
      if (kept.version !== version) return err({ code: 'changed_meanwhile' })
      const others = kept.session.exceptions.filter(({ onDate }) => onDate !== raw.onDate)
      const session = { ...kept.session, exceptions: exception ? [...others, exception] : others }
      const faults = checkSession(session).flatMap((fault): ExceptionFault[] => {
        if (fault.field !== 'exceptions' || fault.onDate !== raw.onDate) return []
        if (fault.code === 'longer_than_rule') return [{ field: 'closesAt', code: 'longer_than_rule' }]
        return [{ field: 'onDate', code: 'not_in_rule' }]
      })
      if (faults.length > 0) return err({ code: 'faults', faults })
      const meeting = kept.status === 'active' ? await meetingOf(tx, clinicId, session, now) : null
      if (meeting) return err({ code: 'overlaps', ...meeting })

      await writeException(tx, clinicId, sessionId, raw.onDate, exception)
      await updateSession(tx, clinicId, session, kept.status)
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'session.date_changed',
        subject: sessionId,
        before: kept.session.exceptions.find(({ onDate }) => onDate === raw.onDate) ?? { onDate: raw.onDate },
        after: exception ?? { onDate: raw.onDate },
      })
      return ok({ sessionId, version: version + 1 })
    }),
  )
}

function readException(raw: RawException, today: string): Result<SessionException | null, ExceptionFault[]> {
  const faults: ExceptionFault[] = []
  const needDate = (field: 'onDate' | 'toDate') => {
    const text = raw[field]
    if (text === '') faults.push({ field, code: 'required' })
    else if (!isDate(text)) faults.push({ field, code: 'not_a_date' })
    else if (text < today) faults.push({ field, code: 'past' })
  }
  needDate('onDate')
  const { kind, onDate, toDate } = raw
  if (kind === '') faults.push({ field: 'kind', code: 'required' })
  if (kind === 'moved') needDate('toDate')
  if (kind === 'moved' || kind === 'shortened') {
    const [opensAt, closesAt] = [readTime(raw.opensAt), readTime(raw.closesAt)]
    if (opensAt === null) faults.push({ field: 'opensAt', code: raw.opensAt === '' ? 'required' : 'not_a_time' })
    if (closesAt === null) faults.push({ field: 'closesAt', code: raw.closesAt === '' ? 'required' : 'not_a_time' })
    if (opensAt !== null && closesAt !== null) {
      if (closesAt <= opensAt) faults.push({ field: 'closesAt', code: 'before_opens' })
      const durationMin = (wallOfTime(closesAt) - wallOfTime(opensAt)) / 60_000
      const times = { onDate, opensAt, durationMin }
      if (faults.length === 0) return ok(kind === 'moved' ? { kind, toDate, ...times } : { kind, ...times })
    }
  }
  if (faults.length > 0) return err(faults)
  return ok(kind === 'closed' ? { kind, onDate } : null)
}
