/**
 * On which wall times does an RFC 5545 rule fall? `rrule` is asked for floating
 * times only (the wall clock as though it were UTC): with a time zone it
 * depends on the zone of the process. UNTIL is an instant, so it is compared
 * after the wall time has been placed in its zone.
 */
import * as R from 'rrule'
import { invariant } from '#lib/base/invariant.ts'
import { DAY_MS, toInstant, type ZoneClock } from './zone-clock.ts'

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
  const { floating, shift, isWithin } = read(rule, nearestRound(rule, firstWall, fromWall), clock)
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

/**
 * A DTSTART nearer to `fromWall` from which the same rule falls on the same dates from there on: `rrule` walks to where it
 * is asked from the beginning, and a session may be years old. Whole rounds of days or weeks change nothing but a COUNT.
 */
function nearestRound(rule: string, firstWall: number, fromWall: number): number {
  const unit = /(?:^|;)FREQ=DAILY(?:;|$)/i.test(rule) ? 1 : /(?:^|;)FREQ=WEEKLY(?:;|$)/i.test(rule) ? 7 : null
  if (unit === null || fromWall <= firstWall || /(?:^|;)COUNT=/i.test(rule)) return firstWall
  const round = unit * Number(/(?:^|;)INTERVAL=(\d+)/i.exec(rule)?.[1] ?? 1) * DAY_MS
  return firstWall + Math.floor((fromWall - firstWall) / round) * round
}

function read(rule: string, firstWall: number, clock: ZoneClock) {
  const until = untilOf(rule)
  const shift = CYCLE_MS * Math.floor((LAST_FIRST_YEAR - new Date(firstWall).getUTCFullYear()) / CYCLE_YEARS)
  const options = { ...RRule.parseString(rule), until: null, dtstart: new Date(firstWall + shift) }
  return {
    floating: new RRule(options, true),
    shift,
    isWithin: (wall: number) => until === null || toInstant(clock, wall) <= until,
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
