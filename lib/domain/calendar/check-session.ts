/**
 * Is this a session that can be kept? Every fault at once, each at its field,
 * so that a page can say what is wrong where it is wrong. Only a session
 * without faults may be stored: the rest of the calendar trusts it.
 */
import { firstRecurrence, recurrences } from './recurrence.ts'
import type { ClinicSession } from './session.ts'
import { DAY_MS, dateOfWall, toInstant, wallOfDate, wallOfTime, zoneClock } from './zone-clock.ts'

export type SessionFault =
  | { field: 'timeZone'; code: 'unknown_zone' }
  | { field: 'startsOn'; code: 'not_a_date' }
  /** The first date must be one of the rule's (RFC 5545 3.8.5.3); `firstOn` is the first that is. */
  | { field: 'startsOn'; code: 'not_in_rule'; firstOn: string }
  | { field: 'opensAt'; code: 'not_a_time' }
  | { field: 'durationMin'; code: 'not_positive' | 'over_a_day' }
  | {
      field: 'grainMin' | 'bufferBeforeMin' | 'bufferAfterMin' | 'noticeMin' | 'urgentMin' | 'urgentReleaseHours'
      code: 'not_positive' | 'negative'
    }
  | { field: 'grainMin' | 'urgentMin'; code: 'longer_than_session' }
  | {
      field: 'durationMin' | 'grainMin' | 'bufferBeforeMin' | 'bufferAfterMin'
      code: 'beyond_bounds'
      min: number
      max: number
    }
  /** Time is kept with clinicians; an interpreter's session has no starts of its own. */
  | { field: 'urgentMin'; code: 'only_clinicians' }
  | { field: 'validTo'; code: 'not_a_date' | 'before_start' }
  | { field: 'siteId'; code: 'needed_in_person' }
  /** `part` is the piece of the rule that is wrong. */
  | { field: 'rule'; code: 'malformed' | 'unknown_part' | 'repeated_part' | 'oftener_than_daily'; part: string }
  | { field: 'rule'; code: 'count_with_until' | 'until_not_utc' | 'until_before_start' | 'never_occurs' }
  | {
      field: 'exceptions'
      code: 'not_a_date' | 'not_a_time' | 'not_positive' | 'repeated' | 'not_in_rule' | 'longer_than_rule'
      onDate: string
    }

/** All faults of a session; empty = it can be kept. */
export function checkSession(session: ClinicSession): SessionFault[] {
  const faults = [...checkFields(session), ...checkRule(session.rule)]
  // Dates can only be asked of a rule that reads well.
  return faults.length > 0 ? faults : [...checkOccurrences(session), ...checkExceptions(session)]
}

/** Minutes, as the table of sessions holds them: shorter or longer than these nobody works. */
const BOUNDS = {
  durationMin: { min: 5, max: 1440 },
  grainMin: { min: 5, max: 240 },
  bufferBeforeMin: { min: 0, max: 240 },
  bufferAfterMin: { min: 0, max: 240 },
} as const

function checkFields(session: ClinicSession): SessionFault[] {
  const faults: SessionFault[] = []
  if (!isZone(session.timeZone)) faults.push({ field: 'timeZone', code: 'unknown_zone' })
  if (!isDate(session.startsOn)) faults.push({ field: 'startsOn', code: 'not_a_date' })
  if (!isTime(session.opensAt)) faults.push({ field: 'opensAt', code: 'not_a_time' })
  if (!isCount(session.durationMin)) faults.push({ field: 'durationMin', code: 'not_positive' })
  if (session.durationMin > 24 * 60) faults.push({ field: 'durationMin', code: 'over_a_day' })
  if (!isCount(session.grainMin)) faults.push({ field: 'grainMin', code: 'not_positive' })
  if (session.grainMin > session.durationMin) faults.push({ field: 'grainMin', code: 'longer_than_session' })
  if (session.urgentMin > session.durationMin) faults.push({ field: 'urgentMin', code: 'longer_than_session' })
  if (session.urgentMin > 0 && session.owner.kind !== 'clinician')
    faults.push({ field: 'urgentMin', code: 'only_clinicians' })
  for (const field of ['bufferBeforeMin', 'bufferAfterMin', 'noticeMin', 'urgentMin', 'urgentReleaseHours'] as const) {
    if (session[field] !== 0 && !isCount(session[field])) faults.push({ field, code: 'negative' })
  }
  for (const field of ['durationMin', 'grainMin', 'bufferBeforeMin', 'bufferAfterMin'] as const) {
    const { min, max } = BOUNDS[field]
    const isNumber = Number.isSafeInteger(session[field]) && session[field] >= (min === 0 ? 0 : 1)
    if (isNumber && session[field] <= 24 * 60 && (session[field] < min || session[field] > max))
      faults.push({ field, code: 'beyond_bounds', min, max })
  }
  if (session.validTo !== null && !isDate(session.validTo)) faults.push({ field: 'validTo', code: 'not_a_date' })
  else if (session.validTo !== null && session.validTo < session.startsOn)
    faults.push({ field: 'validTo', code: 'before_start' })
  if (session.mode !== 'video' && session.owner.kind === 'clinician' && session.siteId === null) {
    faults.push({ field: 'siteId', code: 'needed_in_person' })
  }
  return faults
}

const number =
  (max: number, sign = '') =>
  (value: string) =>
    new RegExp(`^${sign}\\d{1,4}$`).test(value) && Math.abs(Number(value)) >= 1 && Math.abs(Number(value)) <= max
const list = (isOne: (value: string) => boolean) => (value: string) => value.split(',').every(isOne)

/** RFC 5545 3.3.10. */
const PARTS: Readonly<Record<string, (value: string) => boolean>> = {
  FREQ: (value) => ['DAILY', 'WEEKLY', 'MONTHLY', 'YEARLY'].includes(value),
  INTERVAL: number(9999),
  COUNT: number(9999),
  UNTIL: (value) => /^\d{8}T\d{6}Z$/.test(value) && !Number.isNaN(instantOf(value)),
  BYDAY: list((value) => /^(?:[+-]?(?:[1-9]|[1-4]\d|5[0-3]))?(?:MO|TU|WE|TH|FR|SA|SU)$/.test(value)),
  BYMONTHDAY: list(number(31, '[+-]?')),
  BYYEARDAY: list(number(366, '[+-]?')),
  BYWEEKNO: list(number(53, '[+-]?')),
  BYMONTH: list(number(12)),
  BYSETPOS: list(number(366, '[+-]?')),
  WKST: (value) => /^(?:MO|TU|WE|TH|FR|SA|SU)$/.test(value),
}

/** A session opens at one time of day, so parts that set the time, or repeat within a day, contradict it. */
const WITHIN_A_DAY = ['BYHOUR', 'BYMINUTE', 'BYSECOND', 'FREQ=HOURLY', 'FREQ=MINUTELY', 'FREQ=SECONDLY']

function checkRule(rule: string | null): SessionFault[] {
  if (rule === null) return []
  const faults: SessionFault[] = []
  const names = new Map<string, string>()
  for (const part of rule.split(';')) {
    const [name = '', value = '', ...more] = part.split('=')
    const isGood = PARTS[name]
    if (WITHIN_A_DAY.includes(name) || WITHIN_A_DAY.includes(part))
      faults.push({ field: 'rule', code: 'oftener_than_daily', part })
    else if (!isGood) faults.push({ field: 'rule', code: 'unknown_part', part })
    else if (names.has(name)) faults.push({ field: 'rule', code: 'repeated_part', part })
    else if (name === 'UNTIL' && !isGood(value)) faults.push({ field: 'rule', code: 'until_not_utc' })
    else if (!isGood(value) || more.length > 0) faults.push({ field: 'rule', code: 'malformed', part })
    names.set(name, value)
  }
  if (!names.has('FREQ')) faults.push({ field: 'rule', code: 'malformed', part: 'FREQ' })
  if (names.has('COUNT') && names.has('UNTIL')) faults.push({ field: 'rule', code: 'count_with_until' })
  return [...faults, ...checkCombinations(names)]
}

/** What RFC 5545 3.3.10 forbids between parts. */
function checkCombinations(parts: ReadonlyMap<string, string>): SessionFault[] {
  const freq = parts.get('FREQ')
  const isNumbered = /\d/.test(parts.get('BYDAY') ?? '')
  const forbidden = [
    isNumbered && (freq === 'DAILY' || freq === 'WEEKLY' || parts.has('BYWEEKNO')) && 'BYDAY',
    parts.has('BYMONTHDAY') && freq === 'WEEKLY' && 'BYMONTHDAY',
    parts.has('BYYEARDAY') && freq !== 'YEARLY' && 'BYYEARDAY',
    parts.has('BYWEEKNO') && freq !== 'YEARLY' && 'BYWEEKNO',
    parts.has('BYSETPOS') && ![...parts.keys()].some((name) => /^BY(?!SETPOS)/.test(name)) && 'BYSETPOS',
  ]
  return forbidden.filter((name) => name !== false).map((part) => ({ field: 'rule', code: 'malformed', part }))
}

function checkOccurrences(session: ClinicSession): SessionFault[] {
  if (session.rule === null) return []
  const start = wallOfDate(session.startsOn) + wallOfTime(session.opensAt)
  const clock = zoneClock(session.timeZone, start - 5 * DAY_MS, start + 5 * DAY_MS)
  const first = firstRecurrence(session.rule, start, clock)
  if (first === start) return []
  if (first !== null) return [{ field: 'startsOn', code: 'not_in_rule', firstOn: dateOfWall(first) }]
  const until = /UNTIL=(\w+)/.exec(session.rule)?.[1]
  const isOver = until !== undefined && instantOf(until) < toInstant(clock, start)
  return [{ field: 'rule', code: isOver ? 'until_before_start' : 'never_occurs' }]
}

function checkExceptions(session: ClinicSession): SessionFault[] {
  const start = wallOfDate(session.startsOn) + wallOfTime(session.opensAt)
  const seen = new Set<string>()
  return session.exceptions.flatMap((exception): SessionFault[] => {
    const { onDate } = exception
    const fault = (code: Extract<SessionFault, { field: 'exceptions' }>['code']): SessionFault[] => [
      { field: 'exceptions', code, onDate },
    ]
    if (!isDate(onDate) || (exception.kind === 'moved' && !isDate(exception.toDate))) return fault('not_a_date')
    if (seen.has(onDate)) return fault('repeated')
    seen.add(onDate)
    if (exception.kind !== 'closed' && !isTime(exception.opensAt)) return fault('not_a_time')
    if (exception.kind !== 'closed' && !isCount(exception.durationMin)) return fault('not_positive')
    if (exception.kind === 'shortened' && exception.durationMin > session.durationMin) return fault('longer_than_rule')
    const day = wallOfDate(onDate)
    const clock = zoneClock(session.timeZone, day - 5 * DAY_MS, day + 5 * DAY_MS)
    const isPastEnd = session.validTo !== null && onDate > session.validTo
    const falls =
      session.rule === null
        ? onDate === session.startsOn
        : recurrences(session.rule, start, clock, day, day + DAY_MS).length > 0
    return falls && !isPastEnd ? [] : fault('not_in_rule')
  })
}

/** Temporal tells an unknown zone by throwing; an offset is refused, because it knows no change of the clocks. */
export function isZone(timeZone: string): boolean {
  try {
    zoneClock(timeZone, 0, 0)
    return /^[A-Za-z]/.test(timeZone)
  } catch {
    return false
  }
}

export function isDate(text: string): boolean {
  return /^\d{4}-\d\d-\d\d$/.test(text) && !Number.isNaN(wallOfDate(text)) && dateOfWall(wallOfDate(text)) === text
}

function isTime(text: string): boolean {
  return /^(?:[01]\d|2[0-3]):[0-5]\d$/.test(text)
}

function isCount(value: number): boolean {
  return Number.isSafeInteger(value) && value > 0
}

function instantOf(until: string): number {
  const [year, month, day, hour, minute, second] = [
    [0, 4],
    [4, 6],
    [6, 8],
    [9, 11],
    [11, 13],
    [13, 15],
  ].map(([a, b]) => until.slice(a, b))
  return Date.parse(`${year}-${month}-${day}T${hour}:${minute}:${second}Z`)
}
