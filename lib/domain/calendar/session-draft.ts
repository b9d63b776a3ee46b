/**
 * A clinic session as somebody typed it. Every fault at once, each at the field it was typed into; `checkSession` then
 * says what is wrong with the session as a whole. The length of a session is typed as the time it closes.
 */
import { err, ok, type Result } from '#lib/base/result.ts'
import { checkSession, isDate, isZone, type SessionFault } from './check-session.ts'
import { NTHS, type Repeat, ruleOf } from './repeat.ts'
import type { ClinicSession, SessionOwner } from './session.ts'
import { wallOfTime } from './zone-clock.ts'

const SESSION_MODES = ['video', 'in_person', 'either'] as const
const NUMBERS = [
  'grainMin',
  'bufferBeforeMin',
  'bufferAfterMin',
  'noticeMin',
  'urgentMin',
  'urgentReleaseHours',
] as const

/** What was typed. Dates as yyyy-mm-dd; anything else in them counts as no date. */
export type RawSession = {
  mode: string
  siteId: string
  roomId: string
  timeZone: string
  startsOn: string
  opensAt: string
  closesAt: string
  repeat: string
  /** Weeks or months from one to the next. */
  every: string
  weekdays: readonly string[]
  nth: string
  weekday: string
  monthDay: string
  rule: string
  validTo: string
} & Record<(typeof NUMBERS)[number], string>
export type RawField = keyof RawSession

type Plain = 'required' | 'not_a_time' | 'not_a_date' | 'not_a_number'
export type DraftFault =
  | { field: RawField; code: Plain }
  | { field: 'closesAt'; code: 'before_opens'; opensAt: string }
  | { field: 'every' | 'monthDay'; code: 'out_of_range' }
  /** Nothing of it is still to come. */
  | { field: RawField; code: 'over' }
  | (Exclude<SessionFault, { field: 'exceptions' | 'durationMin' }> & { field: RawField })
  | { field: 'closesAt'; code: 'not_positive' | 'over_a_day' }
  | { field: 'closesAt'; code: 'beyond_bounds'; min: number; max: number }

/** The session, its exceptions as given, or everything that is wrong with what was typed. */
export function readSession(
  raw: RawSession,
  kept: { id: string; owner: SessionOwner; exceptions: ClinicSession['exceptions'] },
): Result<ClinicSession, DraftFault[]> {
  const faults: DraftFault[] = []
  const fault = (field: RawField, code: Plain) => faults.push({ field, code })

  const mode = SESSION_MODES.find((each) => each === raw.mode)
  if (!mode) fault('mode', 'required')
  if (!isZone(raw.timeZone)) faults.push({ field: 'timeZone', code: 'unknown_zone' })
  if (raw.startsOn === '') fault('startsOn', 'required')
  else if (!isDate(raw.startsOn)) fault('startsOn', 'not_a_date')
  if (raw.validTo !== '' && !isDate(raw.validTo)) fault('validTo', 'not_a_date')

  const opensAt = readTime(raw.opensAt)
  const closesAt = readTime(raw.closesAt)
  if (opensAt === null || opensAt === '24:00') fault('opensAt', raw.opensAt === '' ? 'required' : 'not_a_time')
  if (closesAt === null) fault('closesAt', raw.closesAt === '' ? 'required' : 'not_a_time')
  if (opensAt !== null && closesAt !== null && closesAt <= opensAt)
    faults.push({ field: 'closesAt', code: 'before_opens', opensAt })

  const repeat = readRepeat(raw, faults)
  const numbers = Object.fromEntries(
    NUMBERS.map((field) => {
      if (!/^\d{1,5}$/.test(raw[field])) fault(field, raw[field] === '' ? 'required' : 'not_a_number')
      return [field, Number(raw[field])]
    }),
  ) as Record<(typeof NUMBERS)[number], number>

  if (faults.length > 0 || !mode || !repeat || opensAt === null || closesAt === null) return err(faults)
  const atSite = mode !== 'video' || kept.owner.kind === 'interpreter'
  const session: ClinicSession = {
    ...kept,
    ...numbers,
    mode,
    siteId: atSite && raw.siteId !== '' ? raw.siteId : null,
    roomId: mode !== 'video' && raw.siteId !== '' && raw.roomId !== '' ? raw.roomId : null,
    timeZone: raw.timeZone,
    startsOn: raw.startsOn,
    opensAt,
    durationMin: (wallOfTime(closesAt) - wallOfTime(opensAt)) / 60_000,
    rule: ruleOf(repeat),
    validTo: raw.validTo === '' ? null : raw.validTo,
  }
  const wrong = checkSession(session).flatMap((each): DraftFault[] => {
    if (each.field === 'exceptions') return []
    return [each.field === 'durationMin' ? { ...each, field: 'closesAt' } : (each as DraftFault)]
  })
  return wrong.length > 0 ? err(wrong) : ok(session)
}

/** The session without the exceptions that no longer fall on one of its dates, and the dates of those. */
export function withoutStrayExceptions(session: ClinicSession): { session: ClinicSession; strays: string[] } {
  const strays = checkSession(session).flatMap((fault) => (fault.field === 'exceptions' ? [fault.onDate] : []))
  const exceptions = session.exceptions.filter(({ onDate }) => !strays.includes(onDate))
  return { session: { ...session, exceptions }, strays }
}

/** HH:MM of a time as people type it: 9:00, 09:00, 1:30 pm; 24:00 is the end of the day. */
export function readTime(text: string): string | null {
  const [, hours, minutes, half] = /^(\d{1,2}):(\d\d)\s*([ap])?\.?m?\.?$/i.exec(text.trim()) ?? []
  if (hours === undefined || minutes === undefined || Number(minutes) > 59) return null
  let hour = Number(hours)
  if (half !== undefined) {
    if (hour < 1 || hour > 12) return null
    hour = (hour % 12) + (half.toLowerCase() === 'p' ? 12 : 0)
  }
  if (hour > 24 || (hour === 24 && minutes !== '00')) return null
  return `${String(hour).padStart(2, '0')}:${minutes}`
}

function readRepeat(raw: RawSession, faults: DraftFault[]): Repeat | null {
  const every = Number(raw.every)
  const isEveryGood = /^\d{1,2}$/.test(raw.every) && every >= 1
  const needsEvery = ['weekly', 'monthly_weekday', 'monthly_day'].includes(raw.repeat)
  if (needsEvery && !isEveryGood) faults.push({ field: 'every', code: 'out_of_range' })
  switch (raw.repeat) {
    case 'once':
      return { kind: 'once' }
    case 'weekly': {
      const weekdays = [1, 2, 3, 4, 5, 6, 7].filter((day) => raw.weekdays.includes(String(day)))
      if (weekdays.length === 0) faults.push({ field: 'weekdays', code: 'required' })
      return { kind: 'weekly', every, weekdays }
    }
    case 'monthly_weekday': {
      const nth = NTHS.find((each) => String(each) === raw.nth)
      const weekday = [1, 2, 3, 4, 5, 6, 7].find((day) => String(day) === raw.weekday)
      if (nth === undefined) faults.push({ field: 'nth', code: 'required' })
      if (weekday === undefined) faults.push({ field: 'weekday', code: 'required' })
      return { kind: 'monthly_weekday', every, nth: nth ?? 1, weekday: weekday ?? 1 }
    }
    case 'monthly_day': {
      const day = raw.monthDay.trim().toLowerCase() === 'last' ? -1 : Number(raw.monthDay)
      const isDay = day === -1 || (/^\d{1,2}$/.test(raw.monthDay.trim()) && day >= 1 && day <= 31)
      if (!isDay) faults.push({ field: 'monthDay', code: 'out_of_range' })
      return { kind: 'monthly_day', every, day }
    }
    case 'own': {
      // People copy rules from calendars: the name before it, small letters and spaces do no harm.
      const rule = raw.rule
        .trim()
        .replace(/^RRULE:/i, '')
        .replace(/\s+/g, '')
        .toUpperCase()
      if (rule === '') faults.push({ field: 'rule', code: 'required' })
      return { kind: 'own', rule }
    }
    default:
      faults.push({ field: 'repeat', code: 'required' })
      return null
  }
}
