/**
 * A clinic session in plain words: "every other Tuesday 09:00 to 12:00 New York time, video, until June 30, 2027". Nobody
 * should have to read a rule to know when they work. Times are on the 24-hour clock, as they are typed on the form.
 */
import { Temporal } from '#lib/base/time.ts'
import type { DateNote, SessionDate } from '#lib/domain/calendar/next-dates.ts'
import { dayOf, type Nth, partsOf, type Repeat, repeatOf } from '#lib/domain/calendar/repeat.ts'
import type { ClinicSession } from '#lib/domain/calendar/session.ts'
import { dateWords } from './time-words.ts'

const WEEKDAYS = ['Monday', 'Tuesday', 'Wednesday', 'Thursday', 'Friday', 'Saturday', 'Sunday'] as const
const MONTHS = ['January', 'February', 'March', 'April', 'May', 'June', 'July', 'August', 'September'].concat([
  'October',
  'November',
  'December',
])

export type SessionNames = { site: string | null; room: string | null }

/** The whole session but its owner, to stand in a sentence. With `today` (yyyy-mm-dd) a first date still to come is said. */
export function sessionWords(session: ClinicSession, names: SessionNames, today: string | null = null): string {
  const { rule, startsOn, validTo } = session
  const repeat = repeatOf(rule, startsOn)
  const isYetToBegin = today !== null && startsOn > today && repeat.kind !== 'once'
  return [
    `${repeatWords(repeat, startsOn)} ${session.opensAt} to ${closesAt(session)} ${zonePlace(session.timeZone)}`,
    modeWords(session.mode, names),
    ...(isYetToBegin ? [`from ${plainDate(startsOn)}`] : []),
    ...(validTo === null || repeat.kind === 'once' ? [] : [`until ${plainDate(validTo)}`]),
  ].join(', ')
}

/** "video", "in person at Larkfield, Room 1" */
export function modeWords(mode: ClinicSession['mode'], { site, room }: SessionNames): string {
  const where = [site, room].filter((name) => name !== null).join(', ')
  const said = { video: 'video', in_person: 'in person', either: 'video or in person' }[mode]
  return mode === 'video' || where === '' ? said : `${said} at ${where}`
}

/** "New York time", from America/New_York: the city is how people know a zone's clock. */
export function zonePlace(timeZone: string): string {
  const city = timeZone.split('/').at(-1)?.replaceAll('_', ' ') ?? timeZone
  return timeZone.includes('/') ? `${city} time` : timeZone
}

/** HH:MM at which it closes by its rule; the hours of a length are exact, so a change of the clocks may shift one date. */
export function closesAt({ opensAt, durationMin }: Pick<ClinicSession, 'opensAt' | 'durationMin'>): string {
  const [hours = 0, minutes = 0] = opensAt.split(':').map(Number)
  const end = hours * 60 + minutes + durationMin
  if (end === 24 * 60) return '24:00'
  const text = [Math.floor(end / 60) % 24, end % 60].map((part) => String(part).padStart(2, '0')).join(':')
  return end > 24 * 60 ? `${text} on the next day` : text
}

/** "every other Tuesday", "the last Friday of every month". */
export function repeatWords(repeat: Repeat, startsOn: string): string {
  switch (repeat.kind) {
    case 'once':
      return `once, on ${dateWords(Temporal.PlainDate.from(startsOn))},`
    case 'weekly': {
      const { every, weekdays } = repeat
      const run = runWords(weekdays)
      const days = list(weekdays.map((day) => WEEKDAYS[day - 1] as string))
      if (every === 1) return weekdays.length === 7 ? 'every day' : `every ${run ? `day ${run}` : days}`
      if (every === 2 && weekdays.length === 1) return `every other ${days}`
      return `${everyWords(every, 'week')} ${run ?? `on ${days}`}`
    }
    case 'monthly_weekday':
      return `the ${nthWords(repeat.nth)} ${WEEKDAYS[repeat.weekday - 1]} of ${everyWords(repeat.every, 'month')}`
    case 'monthly_day':
      return `${repeat.day === -1 ? 'the last day' : `the ${ordinal(repeat.day)}`} of ${everyWords(repeat.every, 'month')}`
    case 'own':
      return ruleWords(repeat.rule)
  }
}

/** "Tuesday, March 9, 2027" */
export function longDate(date: string): string {
  return dateWords(Temporal.PlainDate.from(date))
}

/** "June 30, 2027" */
export function plainDate(date: string): string {
  return Temporal.PlainDate.from(date).toLocaleString('en-US', { year: 'numeric', month: 'long', day: 'numeric' })
}

/** What is said beside a date of the preview. */
export function dateNoteWords(note: DateNote, date: SessionDate): string {
  switch (note.code) {
    case 'closed':
      return 'Closed on this date'
    case 'holiday':
      return `Closed: ${note.name}`
    case 'open_on_holiday':
      return `Open although it is ${note.name}`
    case 'moved':
      return `Moved from ${longDate(note.fromDate)}`
    case 'shortened':
      return 'Other hours on this date'
    case 'clocks_forward':
    case 'clocks_back': {
      const turn = note.code === 'clocks_forward' ? 'forward' : 'back'
      return `The clocks go ${turn} on ${longDate(note.onDate)}; it opens at ${date.opensAt} all the same`
    }
    case 'time_skipped':
      return `There is no ${note.meant} on this date, the clocks go forward; it opens at ${date.opensAt}`
    case 'time_twice':
      return `${date.opensAt} comes twice on this date, the clocks go back; the first counts`
  }
}

/** "from Monday to Friday" of three days or more that follow each other; null of any others. */
function runWords(weekdays: readonly number[]): string | null {
  const isRun = weekdays.length > 2 && weekdays.every((day, i) => i === 0 || day === (weekdays[i - 1] as number) + 1)
  return isRun ? `from ${WEEKDAYS[(weekdays[0] as number) - 1]} to ${WEEKDAYS[(weekdays.at(-1) as number) - 1]}` : null
}

function everyWords(every: number, unit: string): string {
  if (every === 1) return `every ${unit}`
  return every === 2 ? `every other ${unit}` : `every ${ordinal(every)} ${unit}`
}

function nthWords(nth: Nth | number): string {
  const words: Record<string, string> = { 1: 'first', 2: 'second', 3: 'third', 4: 'fourth', 5: 'fifth', '-1': 'last' }
  return words[nth] ?? (nth < 0 ? `${ordinal(-nth)} last` : ordinal(nth))
}

function ordinal(number: number): string {
  const ending = { one: 'st', two: 'nd', few: 'rd', other: 'th', many: 'th', zero: 'th' }[ORDINALS.select(number)]
  return `${number}${ending}`
}
const ORDINALS = new Intl.PluralRules('en-US', { type: 'ordinal' })

/** Any RFC 5545 rule, part by part: what only narrows it is said after it. */
function ruleWords(rule: string): string {
  const parts = partsOf(rule)
  const listOf = (name: string) => parts.get(name)?.split(',') ?? []
  const unit = { DAILY: 'day', WEEKLY: 'week', MONTHLY: 'month', YEARLY: 'year' }[parts.get('FREQ') ?? ''] ?? 'time'
  const days = listOf('BYDAY').flatMap((text) => dayOf(text) ?? [])
  const positions = listOf('BYSETPOS').map((text) => nthWords(Number(text)))
  const count = parts.get('COUNT')
  const until = /^(\d{4})(\d\d)(\d\d)/.exec(parts.get('UNTIL') ?? '')
  const numbers = (name: string, what: string) =>
    listOf(name).length === 0 ? '' : `on ${list(listOf(name).map((text) => `the ${nthWords(Number(text))}`))} ${what}`
  return [
    everyWords(Number(parts.get('INTERVAL') ?? 1), unit),
    listOf('BYMONTH').length > 0 && `in ${list(listOf('BYMONTH').map((text) => MONTHS[Number(text) - 1] ?? text))}`,
    numbers('BYWEEKNO', 'week of the year'),
    numbers('BYYEARDAY', 'day of the year'),
    numbers('BYMONTHDAY', 'day of the month'),
    days.length > 0 &&
      `on ${list(days.map(({ nth, weekday }) => (nth === null ? '' : `the ${nthWords(nth)} `) + WEEKDAYS[weekday - 1]))}`,
    positions.length > 0 && `(only the ${list(positions)} of these)`,
    count !== undefined && `${count} ${count === '1' ? 'time' : 'times'}`,
    until && `until ${plainDate(until.slice(1, 4).join('-'))}`,
  ]
    .filter((part) => part !== false && part !== '' && part !== null)
    .join(' ')
}

function list(words: readonly string[]): string {
  return words.length < 2 ? words.join('') : `${words.slice(0, -1).join(', ')} and ${words.at(-1)}`
}
