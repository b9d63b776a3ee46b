/** What a patient is told when a time can't be had: what happened, and what they can have instead. */
import { unreachable } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import type { BookRefusal } from '#lib/domain/calendar/demand.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import type { BookVisitError } from '#lib/usecases/book-visit.ts'
import type { CancelVisitError } from '#lib/usecases/cancel-visit.ts'
import type { HoldStartError } from '#lib/usecases/hold-start.ts'
import type { MoveVisitError } from '#lib/usecases/move-visit.ts'
import type { OfferedStart } from '#lib/usecases/steps/search-starts.ts'
import { clockWords, dayWords, zoneWords } from '#lib/words/time-words.ts'
import { type Words, wordsFor } from '#lib/words/words.ts'

export type Refused = HoldStartError | BookVisitError | MoveVisitError | CancelVisitError

export function refusalWords(error: Refused, timeZone: string, language: Locale): string {
  const t = wordsFor(language)
  switch (error.code) {
    case 'start_taken':
    case 'hold_gone':
      return `${t('booking.lost.taken')} ${nextWords(error.next, timeZone, language, t)}`
    case 'start_refused':
      return `${t(refusedKey(error.because))} ${nextWords(error.next, timeZone, language, t)}`
    case 'already_booked':
      return t('booking.lost.already')
    case 'changed_meanwhile':
    case 'not_booked':
    case 'command_of_someone_else':
      return t('booking.lost.changed')
    case 'too_late':
    case 'stopped':
    case 'closed':
    case 'not_decided':
    case 'no_plan':
    case 'mode_not_offered':
    case 'in_person_first':
    case 'release_not_allowed':
    case 'reason_needed':
    case 'referral_not_found':
    case 'visit_not_found':
      return t('booking.lost.notNow')
    default:
      return unreachable(error)
  }
}

/** What is wrong with the time itself is said; whatever else stands in its way is the clinic's business. */
function refusedKey(because: BookRefusal) {
  switch (because) {
    case 'in_the_past':
      return 'booking.lost.past'
    case 'notice_too_short':
      return 'booking.lost.tooSoon'
    case 'off_grain':
    case 'outside_session':
    case 'no_such_session':
      return 'booking.lost.noSuch'
    default:
      return 'booking.lost.notPossible'
  }
}

function nextWords(next: readonly OfferedStart[], timeZone: string, language: Locale, t: Words): string {
  if (next.length === 0) return t('booking.lost.noNext')
  const times = next.slice(0, 3).map(({ startsAt }) => {
    const at = Temporal.Instant.from(startsAt)
    return `${dayWords(at, timeZone, language)} ${clockWords(at, timeZone, language)}`
  })
  const [first] = next
  const zone = first ? zoneWords(Temporal.Instant.from(first.startsAt), timeZone, language) : ''
  return t('booking.lost.next', { times: `${times.join('; ')}, ${zone}` })
}
