/**
 * Can the personal link to the home check be sent, and if not, why not? The link goes to an e-mail address and opens only
 * with the date of birth; without either the coordinator asks by phone.
 */
import type { Stage } from '../desk/stages.ts'

export type InvitationCase = {
  stage: Stage
  isStopped: boolean
  email: string | null
  birthDate: string | null
  isFinished: boolean
}
export type NoInvitation = 'stopped' | 'not_triaged' | 'no_email' | 'no_birth_date' | 'already_finished'

/** What stands in the way, the gravest first; null = it can be sent. */
export function whyNotInvited(referral: InvitationCase): NoInvitation | null {
  if (referral.isStopped) return 'stopped'
  if (referral.stage === 'received' || referral.stage === 'closed') return 'not_triaged'
  if (referral.email === null) return 'no_email'
  if (referral.birthDate === null) return 'no_birth_date'
  return referral.isFinished ? 'already_finished' : null
}
