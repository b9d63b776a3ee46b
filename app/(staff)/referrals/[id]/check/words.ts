/** What the home check page says to the coordinator. */
import type { DetailStep } from '#lib/domain/home/details.ts'
import type { NoInvitation } from '#lib/domain/home/invitation.ts'

export const NO_INVITATION_WORDS: Record<NoInvitation, string> = {
  stopped: 'No link can be sent while an emergency call is open. Call the patient first.',
  not_triaged: 'No link can be sent: the referral is not triaged, or it is closed.',
  no_email: 'No link can be sent: no e-mail is known. Fill the check in by phone.',
  no_birth_date: 'No link can be sent: no date of birth is known, and the link opens only with it.',
  already_finished: 'The home check is finished, so there is nothing to send.',
}

export const DETAIL_WORDS: Record<DetailStep, { heading: string }> = {
  place: { heading: 'Where the patient will be' },
  contact: { heading: 'Whom to call' },
  times: { heading: 'When they are free' },
  consent: { heading: 'Agreement' },
}
