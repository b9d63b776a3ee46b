/** What a move costs a patient, why a visit has no start, and what changed meanwhile, in words. */
import { unreachable } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import type { MoveCost } from '#lib/domain/replacement/placement.ts'
import type { NoStart, PlannedMove, ProposedStart } from '#lib/usecases/plan-replacement.ts'
import type { ReplaceVisitsError, WorldChange } from '#lib/usecases/replace-visits.ts'
import { clockWords, dayWords, zoneWords } from '#lib/words/time-words.ts'
import { NOTHING_WORDS } from '../../../../referrals/[id]/book/words.ts'

/** The address field that says what was decided for a visit. */
export function decidedField(visitId: string): string {
  return `for-${visitId}`
}

export const BY_PHONE = 'by_phone'

const NO_START: Record<Exclude<NoStart, keyof typeof NOTHING_WORDS>, string> = {
  by_phone: 'Stays where it is: you call the patient.',
  no_start_fits: 'No start fits this patient as far ahead as the clinic books.',
  others_need_it: 'Every start that fits went to a visit that needs it more.',
  chosen_start_gone: 'The start that was chosen for it is gone, or another visit keeps it.',
  other_mode: 'This patient is to be seen in another way by now.',
}

export function noStartWords(noStart: NoStart): string {
  return noStart in NO_START
    ? NO_START[noStart as keyof typeof NO_START]
    : NOTHING_WORDS[noStart as keyof typeof NOTHING_WORDS].heading
}

/** "7 days later, with another clinician, 3 hours before the see-by time". */
export function costWords(move: Pick<PlannedMove, 'before' | 'seeBy'>, { startsAt, cost }: ProposedStart): string {
  const [was, is] = [Temporal.Instant.from(move.before.startsAt), Temporal.Instant.from(startsAt)]
  const isLater = Temporal.Instant.compare(is, was) > 0
  const isSame = is.equals(was)
  const [minutes, isOtherSite] = cost.minutes >= DAY_MIN ? [cost.minutes - DAY_MIN, true] : [cost.minutes, false]
  const parts = [
    isSame ? 'the same time' : '',
    cost.days > 0 ? `${count(cost.days, 'day')} ${isLater ? 'later' : 'sooner'}` : '',
    cost.days === 0 && minutes > 0 ? `the same day, ${spanWords(minutes)} ${isLater ? 'later' : 'sooner'}` : '',
    cost.days > 0 ? (minutes === 0 ? 'at the same time of day' : `${spanWords(minutes)} off its time of day`) : '',
    cost.otherClinician > 0 ? 'with another clinician' : '',
    isOtherSite ? 'at another site' : '',
    move.seeBy === null ? '' : seeByWords(is, Temporal.Instant.from(move.seeBy)),
  ]
  return parts.filter((part) => part !== '').join(', ')
}

const DAY_MIN = 24 * 60

function seeByWords(at: Temporal.Instant, seeBy: Temporal.Instant): string {
  const hours = Math.floor(Math.abs(at.until(seeBy).total('hours')))
  const span = hours < 48 ? count(hours, 'hour') : count(Math.floor(hours / 24), 'day')
  return `${span} ${Temporal.Instant.compare(at, seeBy) <= 0 ? 'before' : 'after'} its see-by time`
}

/** One line of a choice; the zone is the patient's. */
export function choiceWords(move: PlannedMove, start: ProposedStart): string {
  const at = Temporal.Instant.from(start.startsAt)
  const when = `${dayWords(at, move.timeZone)}, ${clockWords(at, move.timeZone)} ${zoneWords(at, move.timeZone)}`
  return `${when}, ${start.clinicianName}: ${costWords(move, start)}`
}

/** The sums over the visits that were looked for a start, gravest first; `left` of them, or beside them, have none. */
export function totalWords(total: MoveCost, left: number): string {
  const late = total.missed - total.unplaced
  const parts = [
    late > 0
      ? `${count(late, 'visit')} not seen by the see-by time`
      : left > 0
        ? 'what moves is before its see-by time'
        : 'every visit before its see-by time',
    total.otherClinician > 0 ? `${total.otherClinician} with another clinician` : 'everybody with their own clinician',
    `${count(total.days, 'day')} moved in all`,
    left > 0 ? `${count(left, 'visit')} left to you` : '',
  ]
  return parts.filter((part) => part !== '').join('; ')
}

const CHANGED: Record<WorldChange['what'], string> = {
  new: 'was booked into the lost time',
  gone: 'was moved, cancelled or closed',
  changed: 'was changed',
  start_taken: 'lost its new start: somebody else has just taken it',
  start_refused: 'can no longer have its new start',
  not_possible: 'can no longer be moved like this',
}

/** Why nothing was moved. */
export function refusalWords(error: ReplaceVisitsError): string {
  switch (error.code) {
    case 'world_moved': {
      const which = error.changes.map(({ patientName, what }) => `${patientName ?? 'a visit'} ${CHANGED[what]}`)
      const names = which.length === 0 ? 'a start was taken' : which.join('; ')
      return `Nothing was moved. Since this was worked out, ${names}. It has been worked out anew: look at it again.`
    }
    case 'changed_meanwhile':
      return 'Nothing was moved: this session was changed while the page was open. Look at it as it stands now.'
    case 'session_not_found':
      return 'This session is no longer here.'
    case 'command_of_someone_else':
      return 'This form was sent already. Look at what stands above and do it again if it is not done.'
    default:
      return unreachable(error)
  }
}

export function spanWords(minutes: number): string {
  const hours = Math.floor(minutes / 60)
  const rest = minutes % 60
  return [hours > 0 ? count(hours, 'hour') : '', rest > 0 ? count(rest, 'minute') : '']
    .filter((part) => part !== '')
    .join(' ')
}

export function count(many: number, one: string): string {
  return `${many} ${one}${many === 1 ? '' : 's'}`
}
