/**
 * On which wall times does an RFC 5545 rule fall? `rrule` is asked for floating
 * times only (the wall clock as though it were UTC): with a time zone it
 * depends on the zone of the process. UNTIL is an instant, so it is compared
 * after the wall time has been placed in its zone.
 */
import * as R from 'rrule'
import { invariant } from '#lib/base/invariant.ts'
import { DAY_MS, toInstant, weekdayOfWall, type ZoneClock } from './zone-clock.ts'

/** `rrule` is CommonJS to Node and an ES module to bundlers. */
const RRule: typeof R.RRule = R.RRule ?? (R as unknown as { default: typeof R }).default.RRule

/**
 * The Gregorian calendar repeats after 400 years, weekdays included, and
 * `rrule` searches a rule that never falls on a date up to the year 9999.
 * Expanding in the last cycles bounds that search: 400 to 800 years.
 */
const CYCLE_YEARS = 400
const CYCLE_MS = 146_097 * 86_400_000
const LAST_FIRST_YEAR = 9599

/** The wall times of a rule in [fromWall, toWall), ascending. The first is DTSTART when the rule falls on it. */
export function recurrences(
  rule: string,
  firstWall: number,
  clock: ZoneClock,
  fromWall: number,
  toWall: number,
): number[] {
  if (toWall <= Math.max(fromWall, firstWall)) return []
  const plain = plainRule(rule, firstWall)
  if (plain) return plainRecurrences(plain, firstWall, fromWall, toWall).filter(untilTest(rule, clock))
  const { floating, shift, isWithin } = read(rule, firstWall, clock)
  return floating
    .between(new Date(fromWall + shift), new Date(toWall - 1 + shift), true)
    .map((date) => date.getTime() - shift)
    .filter(isWithin)
}

/** The first wall time of a rule at or after DTSTART; null = it never falls on one. */
export function firstRecurrence(rule: string, firstWall: number, clock: ZoneClock): number | null {
  const { floating, shift, isWithin } = read(rule, firstWall, clock)
  const date = floating.after(new Date(firstWall + shift), true)
  return date && isWithin(date.getTime() - shift) ? date.getTime() - shift : null
}

const WEEKDAYS = ['MO', 'TU', 'WE', 'TH', 'FR', 'SA', 'SU']

/** Every so many days or weeks, on some weekdays (1 = Monday): what nearly every session is. */
type PlainRule = { weekly: boolean; interval: number; weekdays: readonly number[]; weekStart: number }

/** Read without the library, which takes a hundred times as long: a search reads thousands. Null = the rule says more. */
function plainRule(rule: string, firstWall: number): PlainRule | null {
  const plain: PlainRule = { weekly: true, interval: 1, weekdays: [], weekStart: 1 }
  let frequency = ''
  for (const part of rule.split(';')) {
    const [name = '', value = ''] = part.split('=')
    if (name === 'FREQ') frequency = value
    else if (name === 'INTERVAL') plain.interval = Number(value)
    else if (name === 'BYDAY') plain.weekdays = value.split(',').map((day) => WEEKDAYS.indexOf(day) + 1)
    else if (name === 'WKST') plain.weekStart = WEEKDAYS.indexOf(value) + 1
    else if (name !== 'UNTIL') return null
  }
  if (plain.weekdays.includes(0) || !(plain.interval >= 1)) return null
  if (frequency === 'DAILY') return { ...plain, weekly: false }
  if (frequency !== 'WEEKLY') return null
  return plain.weekdays.length > 0 ? plain : { ...plain, weekdays: [weekdayOfWall(firstWall)] }
}

function plainRecurrences(rule: PlainRule, firstWall: number, fromWall: number, toWall: number): number[] {
  const { weekly, interval, weekdays, weekStart } = rule
  /** Of the week, counted from the one in which the rule begins. */
  const weekOf = (wall: number) => Math.floor(wall / DAY_MS) - ((weekdayOfWall(wall) - weekStart + 7) % 7)
  const firstWeek = weekOf(firstWall)
  const walls: number[] = []
  const ahead = Math.max(0, Math.ceil((fromWall - firstWall) / DAY_MS))
  for (let wall = firstWall + ahead * DAY_MS; wall < toWall; wall += DAY_MS) {
    const apart = weekly ? (weekOf(wall) - firstWeek) / 7 : (wall - firstWall) / DAY_MS
    if (apart % interval === 0 && (weekdays.length === 0 || weekdays.includes(weekdayOfWall(wall)))) walls.push(wall)
  }
  return walls
}

function untilTest(rule: string, clock: ZoneClock): (wall: number) => boolean {
  const until = untilOf(rule)
  return (wall) => until === null || toInstant(clock, wall) <= until
}

function read(rule: string, firstWall: number, clock: ZoneClock) {
  const shift = CYCLE_MS * Math.floor((LAST_FIRST_YEAR - new Date(firstWall).getUTCFullYear()) / CYCLE_YEARS)
  const options = { ...RRule.parseString(rule), until: null, dtstart: new Date(firstWall + shift) }
  return {
    floating: new RRule(options, true),
    shift,
    isWithin: untilTest(rule, clock),
  }
}

/** UNTIL as an instant. With a DTSTART in a zone it must be UTC (RFC 5545 3.3.10). */
function untilOf(rule: string): number | null {
  const value = /(?:^|;)UNTIL=([^;]*)/i.exec(rule)?.[1]
  if (value === undefined) return null
  const parts = /^(\d{4})(\d\d)(\d\d)T(\d\d)(\d\d)(\d\d)Z$/.exec(value)
  invariant(parts, 'a stored rule has a UNTIL that is not UTC')
  const [year, month, day, hour, minute, second] = parts.slice(1).map(Number) as [
    number,
    number,
    number,
    number,
    number,
    number,
  ]
  return Date.UTC(year, month - 1, day, hour, minute, second)
}
