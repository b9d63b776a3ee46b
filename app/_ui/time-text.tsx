/** A point in time on a page: the weekday always, the zone by name, and the same moment elsewhere where that helps. */
import { Temporal } from '#lib/base/time.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { clockWords, dayWords, zoneWords } from '#lib/words/time-words.ts'

type Props = {
  /** An instant, or its ISO text as use cases return it. */
  at: Temporal.Instant | string
  /** IANA zone of the reader. */
  timeZone: string
  /** A second zone, such as the clinic's beside the patient's; left out where both clocks agree. */
  alsoIn?: string | undefined
  show?: 'day_and_clock' | 'day' | 'clock'
  /** The zone may go unsaid only where the page says it once for all its times. */
  isZoneSaid?: boolean
  locale?: Locale | undefined
}

export function TimeText({ at, timeZone, alsoIn, show = 'day_and_clock', isZoneSaid = false, locale = 'en' }: Props) {
  const instant = typeof at === 'string' ? Temporal.Instant.from(at) : at
  const clock = (zone: string) =>
    `${clockWords(instant, zone, locale)}${isZoneSaid ? '' : ` ${zoneWords(instant, zone, locale)}`}`
  const words = {
    day_and_clock: () => `${dayWords(instant, timeZone, locale)}, ${clock(timeZone)}`,
    day: () => dayWords(instant, timeZone, locale),
    clock: () => clock(timeZone),
  }[show]()
  const isElsewhere =
    alsoIn !== undefined && show !== 'day' && offsetOf(instant, alsoIn) !== offsetOf(instant, timeZone)
  return (
    <time dateTime={instant.toString()}>
      {words}
      {isElsewhere && ` (${elsewhere(instant, timeZone, alsoIn, locale)})`}
    </time>
  )
}

/** The clock there, with the day where midnight lies between the two. */
function elsewhere(at: Temporal.Instant, timeZone: string, there: string, locale: Locale): string {
  const day = dayWords(at, there, locale)
  const isSameDay = day === dayWords(at, timeZone, locale)
  return `${isSameDay ? '' : `${day}, `}${clockWords(at, there, locale)} ${zoneWords(at, there, locale)}`
}

function offsetOf(at: Temporal.Instant, timeZone: string): number {
  return at.toZonedDateTimeISO(timeZone).offsetNanoseconds
}
