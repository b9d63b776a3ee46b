/** What staff are told about starts: why one ranks where it does, what would help, and why one was refused. */

import { unreachable } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import type { NothingToOffer } from '#lib/domain/booking/offer.ts'
import type { BookRefusal, RelaxationKind, WhyRanked } from '#lib/domain/calendar/demand.ts'
import type { BookVisitError } from '#lib/usecases/book-visit.ts'
import type { CancelVisitError } from '#lib/usecases/cancel-visit.ts'
import type { HoldStartError } from '#lib/usecases/hold-start.ts'
import type { MoveVisitError } from '#lib/usecases/move-visit.ts'
import type { OfferedStart } from '#lib/usecases/steps/search-starts.ts'
import { clockWords, dayWords } from '#lib/words/time-words.ts'

/** The name of the field that says why a visit is cancelled; two visits may stand on one page. */
export function becauseField(visitId: string): string {
  return `because-${visitId}`
}

export const MODE_WORDS = { video: 'by video', in_person: 'at the clinic' } as const

export const NOTHING_WORDS: Record<NothingToOffer, { heading: string; body: string }> = {
  stopped: {
    heading: 'Stopped: an emergency flag is open',
    body: 'Nothing can be booked until somebody has called the patient and written down what was said.',
  },
  closed: { heading: 'This referral is closed', body: 'Nothing more is booked for it.' },
  not_decided: {
    heading: 'Not decided yet',
    body: 'The home check or a few answers are missing, so it is open whether this patient can be seen by video. Coming to the clinic is always safe: overrule to in person if it cannot wait.',
  },
  no_plan: {
    heading: 'No station can be done by video',
    body: 'Video was decided, but at this home no part of the exam is possible. Book in person, or ask the home check again.',
  },
}

/** What to release, as the end of "The earliest would be … if …". */
export const RELAXATION_WORDS: Record<RelaxationKind, { condition: string; link: string }> = {
  say_where_patient_is: { condition: 'it were known in which state the patient will be', link: 'Fill that in' },
  another_clinician: { condition: 'another clinician would do', link: 'Show other clinicians' },
  another_day_part: { condition: 'another time of day would do', link: 'Show the whole day' },
  another_site: { condition: 'another site would do', link: 'Show other sites' },
  short_notice: {
    condition: 'it could be nearer than the notice the session asks for',
    link: 'Show starts at short notice',
  },
  urgent_starts: {
    condition: 'it could take time that is kept for urgent visits',
    link: 'Show starts kept for urgent visits',
  },
  other_helper_times: {
    condition: 'the helper could come at another time than they gave',
    link: "Show starts outside the helper's times",
  },
  other_patient_times: {
    condition: 'the patient could at another time than they gave',
    link: "Show starts outside the patient's times",
  },
  without_interpreter: { condition: 'it went without an interpreter', link: 'Show starts without an interpreter' },
  in_person: { condition: 'the patient came to the clinic', link: 'Show starts at the clinic' },
  longer_horizon: { condition: 'we looked further ahead', link: 'Look twice as far ahead' },
  after_see_by: { condition: 'it were after the see-by time', link: 'Show starts after the see-by time' },
}

/** What is set aside, as the rest of "Set aside: …". */
export const SET_ASIDE_WORDS: Record<RelaxationKind, string> = {
  say_where_patient_is: 'where the patient will be',
  another_clinician: 'the clinician asked for',
  another_day_part: 'the time of day asked for',
  another_site: 'the site asked for',
  short_notice: 'the notice that sessions ask for',
  urgent_starts: 'the keeping of time for urgent visits',
  other_helper_times: 'the helper’s times',
  other_patient_times: 'the patient’s times',
  without_interpreter: 'the interpreter',
  in_person: 'the visit by video',
  longer_horizon: 'how far ahead the clinic books',
  after_see_by: 'the see-by time',
}

const REFUSAL_WORDS: Record<BookRefusal, string> = {
  no_such_session: 'That session is no longer there.',
  wrong_mode: 'That session does not take visits of this kind.',
  wrong_clinician: 'That start is with another clinician.',
  wrong_site: 'That start is at another site.',
  in_the_past: 'That start is over.',
  notice_too_short: 'That start is too near for the notice this session asks for.',
  too_early: 'That start is earlier than asked for.',
  beyond_horizon: 'That start is further ahead than the clinic books.',
  after_see_by: 'That start is after the see-by time.',
  outside_session: 'The visit does not fit into that session.',
  off_grain: 'Visits of that session do not begin at that minute.',
  kept_for_urgent: 'That time is kept for urgent visits.',
  place_not_known: 'It is not known in which state the patient will be, so no licence can be checked.',
  not_licensed: 'The clinician holds no licence where the patient will be on that day.',
  clinician_busy: 'The clinician is taken then.',
  patient_busy: 'The patient has another visit then.',
  outside_patient_times: 'The patient is not free then.',
  outside_helper_times: 'The helper is not free in the minutes they are needed.',
  outside_day_part: 'That start is at another time of day.',
  no_room: 'No room is free then.',
  no_interpreter: 'No interpreter is free then.',
}

/** Reasons of a rank, best known first. */
export function whyWords(why: readonly WhyRanked[]): string[] {
  return why.map((reason) => {
    switch (reason.code) {
      case 'before_see_by':
        return `${spanWords(reason.hoursLeft)} before the see-by time`
      case 'after_see_by':
        return `${spanWords(reason.hoursLate)} after the see-by time`
      case 'wished_clinician':
        return 'the clinician asked for'
      case 'another_clinician':
        return 'another clinician than asked for'
      case 'site_choice':
        return reason.nth === 1 ? 'the site the patient prefers' : 'another site than the patient prefers'
      case 'wished_day_part':
        return 'the time of day asked for'
      case 'another_day_part':
        return 'another time of day than asked for'
      case 'clinician_speaks_language':
        return 'the clinician speaks their language'
      case 'urgent_start':
        return 'time kept for urgent visits'
      case 'short_notice':
        return 'nearer than the notice the session asks for'
      case 'soonest':
        return 'the soonest'
      default:
        return unreachable(reason)
    }
  })
}

/** "5 hours", "12 days": the unit a person would use. */
export function spanWords(hours: number): string {
  const [count, unit] = hours < 48 ? [hours, 'hour'] : [Math.floor(hours / 24), 'day']
  return `${count} ${unit}${count === 1 ? '' : 's'}`
}

type Refused = BookVisitError | HoldStartError | MoveVisitError | CancelVisitError

/** Why a deed was refused, with what can be had instead. */
export function refusalWords(error: Refused, timeZone: string): string {
  switch (error.code) {
    case 'start_taken':
      return `That start was just taken. ${nextWords(error.next, timeZone)}`
    case 'hold_gone':
      return `The hold ran out and somebody else took the time. ${nextWords(error.next, timeZone)}`
    case 'start_refused':
      return `${REFUSAL_WORDS[error.because]} ${nextWords(error.next, timeZone)}`
    case 'already_booked':
      return 'A visit is booked already. Move that one instead.'
    case 'mode_not_offered':
      return 'This is not how this patient is to be seen, as things stand now.'
    case 'in_person_first':
      return 'Book the visit at the clinic first; the early look goes beside it.'
    case 'release_not_allowed':
      return 'This condition cannot be set aside here.'
    case 'reason_needed':
      return 'This start sets something aside that is never set aside without a reason. Write down why.'
    case 'stopped':
    case 'closed':
    case 'not_decided':
    case 'no_plan':
      return NOTHING_WORDS[error.code].body
    case 'referral_not_found':
    case 'visit_not_found':
      return 'This is no longer here.'
    case 'not_booked':
      return 'This visit is no longer booked.'
    case 'changed_meanwhile':
      return 'Somebody changed this visit while this page was open. Look at it as it stands now and do it again.'
    case 'too_late':
      return 'It is too near the visit to change it here.'
    case 'command_of_someone_else':
      return 'This form was sent already. Look at what stands above and do it again if it is not there.'
    default:
      return unreachable(error)
  }
}

function nextWords(next: readonly OfferedStart[], timeZone: string): string {
  if (next.length === 0) return 'No other start is left.'
  const best = next.slice(0, 3).map(({ startsAt }) => {
    const at = Temporal.Instant.from(startsAt)
    return `${dayWords(at, timeZone)} ${clockWords(at, timeZone)}`
  })
  return `Next best: ${best.join('; ')}. Choose again.`
}
