/**
 * On which dates are US federal offices closed? Offered to a clinic as a start
 * for its own list. Public holidays by 5 U.S.C. 6103(a); one on a Saturday is
 * kept on the Friday before (6103(b)), one on a Sunday on the Monday after
 * (Executive Order 11582). Eleven dates by statute are shorter than the data of
 * a library for every country, and the statute's own dates check them.
 */
import { Temporal } from '#lib/base/time.ts'

export type Holiday = { name: string; date: string; observed: string }

type Rule = { name: string; month: number } & ({ day: number } | { nth: number; weekday: number })

const MONDAY = 1
const THURSDAY = 4
/** Counted from the end of the month. */
const LAST = -1

const RULES: readonly Rule[] = [
  { name: "New Year's Day", month: 1, day: 1 },
  { name: 'Birthday of Martin Luther King, Jr.', month: 1, nth: 3, weekday: MONDAY },
  { name: "Washington's Birthday", month: 2, nth: 3, weekday: MONDAY },
  { name: 'Memorial Day', month: 5, nth: LAST, weekday: MONDAY },
  { name: 'Juneteenth National Independence Day', month: 6, day: 19 },
  { name: 'Independence Day', month: 7, day: 4 },
  { name: 'Labor Day', month: 9, nth: 1, weekday: MONDAY },
  { name: 'Columbus Day', month: 10, nth: 2, weekday: MONDAY },
  { name: 'Veterans Day', month: 11, day: 11 },
  { name: 'Thanksgiving Day', month: 11, nth: 4, weekday: THURSDAY },
  { name: 'Christmas Day', month: 12, day: 25 },
]

/** The eleven holidays of a year. New Year's Day may be observed in the year before. */
export function federalHolidays(year: number): Holiday[] {
  return RULES.map((rule) => {
    const date = dateOf(rule, year)
    return { name: rule.name, date: date.toString(), observed: observed(date).toString() }
  })
}

function dateOf(rule: Rule, year: number): Temporal.PlainDate {
  if ('day' in rule) return Temporal.PlainDate.from({ year, month: rule.month, day: rule.day })
  const first = Temporal.PlainDate.from({ year, month: rule.month, day: 1 })
  const firstMatch = first.add({ days: (rule.weekday - first.dayOfWeek + 7) % 7 })
  if (rule.nth !== LAST) return firstMatch.add({ weeks: rule.nth - 1 })
  return firstMatch.add({ weeks: Math.floor((first.daysInMonth - firstMatch.day) / 7) })
}

function observed(date: Temporal.PlainDate): Temporal.PlainDate {
  if (date.dayOfWeek === 6) return date.subtract({ days: 1 })
  return date.dayOfWeek === 7 ? date.add({ days: 1 }) : date
}
