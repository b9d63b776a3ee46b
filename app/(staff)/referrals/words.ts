/** Words of the referral pages: one for each code, so that desk, triage and overview say the same. */
import { Temporal } from '#lib/base/time.ts'
import type { Answer, Unit } from '#lib/domain/protocol/need.ts'
import type { Area, FlagLevel, SeeBy, Side } from '#lib/domain/protocol/schema.ts'

export { DISPOSITION_WORDS, PRIORITY_WORDS } from '#lib/domain/desk/code-words.ts'

export const SIDE_WORDS: Record<Side, string> = { left: 'Left', right: 'Right', both: 'Both' }

export const FLAG_LEVEL_WORDS: Record<FlagLevel, string> = {
  emergency: 'emergency',
  same_day: 'same day',
  urgent: 'urgent',
  in_person: 'to be seen in person',
}

export const AREA_WORDS: Record<Area, string> = {
  red_flags: 'Red flags',
  safety: 'Safety',
  people: 'People',
  space: 'Space',
  seat: 'Seat',
  equipment: 'Things to use',
  camera: 'Camera',
}

const UNIT_WORDS: Record<Unit, string> = { m: 'm', cm: 'cm', years: 'years', days: 'days', celsius: '°C' }

/** "Yes", "Not known", "3.2 m" */
export function answerWords(value: Answer | null | undefined, unit: Unit | null = null): string {
  if (value === null || value === undefined || value === 'not_sure') return 'Not known'
  if (typeof value === 'boolean') return value ? 'Yes' : 'No'
  return unit === null ? String(value) : `${value} ${UNIT_WORDS[unit]}`
}

/** "24 hours", "10 working days" */
export function limitWords({ within, unit }: SeeBy): string {
  const words = unit.replace('_', ' ')
  return `${within} ${within === 1 ? words.replace(/s$/, '') : words}`
}

/** "Left flat foot", as one would say it on the phone. */
export function complaintWords(side: Side | null, condition: string | null): string {
  if (condition === null) return side === null ? 'No condition yet' : `${SIDE_WORDS[side]} side, no condition yet`
  return side === null ? condition : `${SIDE_WORDS[side]}: ${condition}`
}

/** "in 3 days", "2 hours late": by whole days on the clinic's calendar, by hours within a day. */
export function awayWords(at: Temporal.Instant, now: Temporal.Instant, timeZone: string): string {
  const isPast = Temporal.Instant.compare(at, now) < 0
  const dateOf = (instant: Temporal.Instant) => instant.toZonedDateTimeISO(timeZone).toPlainDate()
  const days = Math.abs(dateOf(now).until(dateOf(at)).days)
  const hours = Math.floor(Math.abs(at.epochMilliseconds - now.epochMilliseconds) / 3_600_000)
  const span = days === 0 || hours < 24 ? count(hours, 'hour') : count(days, 'day')
  if (hours === 0) return isPast ? 'just past' : 'within the hour'
  return isPast ? `${span} late` : `in ${span}`
}

/** With a capital, as a line begins. */
export function asLineStart(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1)
}

/** "1 day", "3 days" */
export function count(number: number, word: string): string {
  return `${number} ${word}${number === 1 ? '' : 's'}`
}

/** A calendar date as it is spoken: "March 9, 1961". */
export function birthDateWords(date: string | null): string {
  if (date === null) return 'not known'
  return Temporal.PlainDate.from(date).toLocaleString('en-US', { year: 'numeric', month: 'long', day: 'numeric' })
}
