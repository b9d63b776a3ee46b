/**
 * How often does a session come back? What a person chooses from on a form, as an RFC 5545 rule and back again. A rule
 * that the choices cannot say stays what it is, written out, so that opening a form and saving it never changes a date.
 */
import { wallOfDate, weekdayOfWall } from './zone-clock.ts'

/** 1 = Monday to 7 = Sunday (ISO 8601). */
export const WEEKDAY_CODES = ['MO', 'TU', 'WE', 'TH', 'FR', 'SA', 'SU'] as const
/** Which one in a month; -1 is the last, and a fifth is left out where there is none. */
export const NTHS = [1, 2, 3, 4, 5, -1] as const
export type Nth = (typeof NTHS)[number]

export type Repeat =
  | { kind: 'once' }
  /** `weekdays` ascending, each once. */
  | { kind: 'weekly'; every: number; weekdays: readonly number[] }
  | { kind: 'monthly_weekday'; every: number; nth: Nth; weekday: number }
  /** `day` 1 to 31, or -1 for the last; months without that day are left out. */
  | { kind: 'monthly_day'; every: number; day: number }
  | { kind: 'own'; rule: string }

/** The choice as an RRULE value without DTSTART; null = once. */
export function ruleOf(repeat: Repeat): string | null {
  switch (repeat.kind) {
    case 'once':
      return null
    case 'weekly': {
      const days = repeat.weekdays.map((weekday) => WEEKDAY_CODES[weekday - 1])
      return `FREQ=WEEKLY${interval(repeat.every)};BYDAY=${days.join(',')}`
    }
    case 'monthly_weekday':
      return `FREQ=MONTHLY${interval(repeat.every)};BYDAY=${repeat.nth}${WEEKDAY_CODES[repeat.weekday - 1]}`
    case 'monthly_day':
      return `FREQ=MONTHLY${interval(repeat.every)};BYMONTHDAY=${repeat.day}`
    case 'own':
      return repeat.rule
  }
}

/** The choice that says the same dates as a rule that begins on `startsOn`. */
export function repeatOf(rule: string | null, startsOn: string): Repeat {
  if (rule === null) return { kind: 'once' }
  const parts = partsOf(rule)
  const every = Number(parts.get('INTERVAL') ?? 1)
  const names = [...parts.keys()].filter((name) => !['FREQ', 'INTERVAL', 'WKST'].includes(name)).sort()
  const only = (...these: string[]) => names.join() === these.join()
  const days = (parts.get('BYDAY') ?? '').split(',').flatMap((text) => dayOf(text) ?? [])
  const own: Repeat = { kind: 'own', rule }
  const first = wallOfDate(startsOn)

  switch (parts.get('FREQ')) {
    case 'DAILY':
      if (every !== 1 || days.some(({ nth }) => nth !== null)) return own
      if (only()) return weekly(1, [1, 2, 3, 4, 5, 6, 7])
      return only('BYDAY') && days.length > 0
        ? weekly(
            1,
            days.map(({ weekday }) => weekday),
          )
        : own
    case 'WEEKLY': {
      if (only()) return weekly(every, [weekdayOfWall(first)])
      if (!only('BYDAY') || days.length === 0 || days.some(({ nth }) => nth !== null)) return own
      // Which days make a week matters only where weeks are left out and a week has several of them.
      const isPlainWeek = every === 1 || days.length === 1 || (parts.get('WKST') ?? 'MO') === 'MO'
      return isPlainWeek
        ? weekly(
            every,
            days.map(({ weekday }) => weekday),
          )
        : own
    }
    case 'MONTHLY': {
      if (only()) return { kind: 'monthly_day', every, day: new Date(first).getUTCDate() }
      const [day, ...more] = days
      const position = only('BYDAY') ? day?.nth : only('BYDAY', 'BYSETPOS') ? setPosition(parts, day?.nth) : null
      const nth = NTHS.find((each) => each === position)
      if (day && more.length === 0 && nth !== undefined)
        return { kind: 'monthly_weekday', every, nth, weekday: day.weekday }
      const monthDay = Number(parts.get('BYMONTHDAY'))
      if (only('BYMONTHDAY') && (monthDay === -1 || (Number.isInteger(monthDay) && monthDay >= 1)))
        return { kind: 'monthly_day', every, day: monthDay }
      return own
    }
    default:
      return own
  }
}

/** Names and values of a rule, in capitals. */
export function partsOf(rule: string): ReadonlyMap<string, string> {
  return new Map(
    rule
      .toUpperCase()
      .split(';')
      .map((part) => {
        const [name = '', value = ''] = part.split('=')
        return [name, value] as const
      }),
  )
}

/** "2TU" of a BYDAY; null where it is none. */
export function dayOf(text: string): { nth: number | null; weekday: number } | null {
  const [, nth, code] = /^([+-]?\d+)?(MO|TU|WE|TH|FR|SA|SU)$/.exec(text) ?? []
  const weekday = WEEKDAY_CODES.indexOf(code as (typeof WEEKDAY_CODES)[number]) + 1
  return weekday === 0 ? null : { nth: nth === undefined ? null : Number(nth), weekday }
}

function weekly(every: number, weekdays: readonly number[]): Repeat {
  return { kind: 'weekly', every, weekdays: [...new Set(weekdays)].sort((a, b) => a - b) }
}

function setPosition(parts: ReadonlyMap<string, string>, nth: number | null | undefined): number | null {
  return nth === null ? Number(parts.get('BYSETPOS')) : null
}

function interval(every: number): string {
  return every === 1 ? '' : `;INTERVAL=${every}`
}
