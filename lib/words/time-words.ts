/**
 * When is it, in words? Always with the weekday, and with the zone's name where a clock time is said, because patient,
 * clinician and clinic may live in three zones. The order of day and month is the locale's own (CLDR): our clinics and
 * patients are in the United States, so English says "Tuesday, December 1".
 */
import type { Temporal } from '#lib/base/time.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'

const LOCALES: Record<Locale, string> = { en: 'en-US', es: 'es-US' }

/** Formatters are slow to make (milliseconds) and quick to use, and a page says many times. */
const made = new Map<string, Intl.DateTimeFormat>()

function format(at: Temporal.Instant, timeZone: string, locale: Locale, options: Intl.DateTimeFormatOptions): string {
  const key = JSON.stringify([locale, timeZone, options])
  const known = made.get(key) ?? new Intl.DateTimeFormat(LOCALES[locale], { ...options, timeZone })
  made.set(key, known)
  return known.format(at.epochMilliseconds)
}

/** "Tuesday, December 1", with the year where it is another than `yearNow`. */
export function dayWords(at: Temporal.Instant, timeZone: string, locale: Locale = 'en', yearNow?: number): string {
  const isOtherYear = yearNow !== undefined && at.toZonedDateTimeISO(timeZone).year !== yearNow
  return format(at, timeZone, locale, {
    weekday: 'long',
    day: 'numeric',
    month: 'long',
    ...(isOtherYear && { year: 'numeric' }),
  })
}

/**
 * "9:30 AM", in one piece at the end of a line. CLDR's versions part the two by a space that breaks, or by a narrow one
 * (U+202F) that fonts and mail may lack: U+00A0 does neither.
 */
export function clockWords(at: Temporal.Instant, timeZone: string, locale: Locale = 'en'): string {
  return format(at, timeZone, locale, { hour: 'numeric', minute: '2-digit' }).replaceAll(/\s/gu, '\u00a0')
}

/** "Eastern Time", the zone as people there call it. */
export function zoneWords(at: Temporal.Instant, timeZone: string, locale: Locale = 'en'): string {
  const parts = new Intl.DateTimeFormat(LOCALES[locale], { timeZone, timeZoneName: 'longGeneric' }).formatToParts(
    at.epochMilliseconds,
  )
  return parts.find((part) => part.type === 'timeZoneName')?.value ?? timeZone
}

/** "Tuesday, December 1, 9:30 AM Eastern Time" */
export function instantWords(at: Temporal.Instant, timeZone: string, locale: Locale = 'en'): string {
  return `${dayWords(at, timeZone, locale)}, ${clockWords(at, timeZone, locale)} ${zoneWords(at, timeZone, locale)}`
}

/** Whether two zones' clocks show the same at that moment, so that one of them need not be said. */
export function isSameClock(at: Temporal.Instant, one: string, other: string): boolean {
  return at.toZonedDateTimeISO(one).offsetNanoseconds === at.toZonedDateTimeISO(other).offsetNanoseconds
}

/** A date without a clock, "Tuesday, December 1, 2026". */
export function dateWords(on: Temporal.PlainDate, locale: Locale = 'en'): string {
  return on.toLocaleString(LOCALES[locale], { weekday: 'long', day: 'numeric', month: 'long', year: 'numeric' })
}

/** How long ago, as short as a board needs it: "4 min", "3 h", "12 days". */
export function ageWords(since: Temporal.Instant, now: Temporal.Instant): string {
  const minutes = Math.max(0, Math.floor((now.epochMilliseconds - since.epochMilliseconds) / 60_000))
  if (minutes < 60) return `${minutes} min`
  const hours = Math.floor(minutes / 60)
  return hours < 48 ? `${hours} h` : `${Math.floor(hours / 24)} days`
}
