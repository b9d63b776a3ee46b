/** What staff are told about the standby list. */
import type { OfferOutcome } from '#lib/domain/standby/standby.ts'
import type { AnswerOfferError } from '#lib/usecases/answer-offer.ts'
import type { JoinStandbyError } from '#lib/usecases/join-standby.ts'
import { NOTHING_WORDS } from '../../referrals/[id]/book/words.ts'

/** Where the error of an answer leads: several offers share the page. */
export function answerField(offerId: string): string {
  return `answer-${offerId}`
}

export const OUTCOME_WORDS: Record<OfferOutcome, string> = {
  accepted: 'Accepted',
  declined: 'Declined',
  expired: 'No answer',
  withdrawn: 'Taken back',
}

export const DONE_WORDS = {
  joined: 'On the list. A sooner start is offered as soon as one comes free.',
  left: 'Taken off the list. A start that was being offered goes to the next one.',
  accepted: 'Accepted. The visit has its new time and the patient is told.',
  declined: 'Declined. The start is offered to the next one.',
} as const

export function noticeWords(hours: number): string {
  const [many, unit] = hours < 48 ? [hours, 'hour'] : [Math.round(hours / 24), 'day']
  return `${many} ${unit}${many === 1 ? '' : 's'}`
}

/** Why it was refused. */
export function refusalWords(code: (AnswerOfferError | JoinStandbyError)['code']): string {
  switch (code) {
    case 'offer_over':
      return 'This offer is over: it was answered already, or its time ran out.'
    case 'offer_not_found':
    case 'referral_not_found':
      return 'This is no longer here.'
    case 'already_waiting':
      return 'This referral is on the list already.'
    case 'command_of_someone_else':
      return 'This form was sent already. Look at what stands above and do it again if it is not there.'
    case 'stopped':
    case 'closed':
    case 'not_decided':
    case 'no_plan':
      return NOTHING_WORDS[code].body
    default:
      return 'The start can no longer be had by this patient. The visit stays where it was.'
  }
}
