/** What was done with a referral, as a sentence. A deed without words of its own is shown by its code, never left out. */
import { RELAXATIONS } from '#lib/domain/calendar/demand.ts'
import { DISPOSITIONS } from '#lib/domain/screening/screening.ts'
import type { ReferralPage } from '#lib/usecases/read-referral.ts'
import { count, DISPOSITION_WORDS } from '../words.ts'
import { SET_ASIDE_WORDS } from './book/words.ts'

type Line = ReferralPage['history'][number]

const SAID: Record<string, string> = {
  'referral.triaged': 'triaged the referral',
  'referral.moved': 'joined the patient’s record with one that was there',
  'patient.edited': 'changed the patient’s details',
  'patient.completed': 'completed the patient’s details from the referral',
  'link.opened': 'opened the personal link',
  'check.invited': 'invited the patient to the home check',
  'check.place_given': 'said where the patient will be',
  'check.contact_given': 'said whom to call',
  'check.times_given': 'said when they are free',
  'check.consent_given': 'noted the consent to a video visit',
  'check.finished': 'finished the home check',
  'visit.held': 'held a start',
  'visit.released': 'let a held start go',
  'visit.booked': 'booked a visit',
  'visit.moved': 'moved the visit',
  'visit.cancelled': 'cancelled the visit',
  'visit.fits_again': 'gave the visit its place in the clinic back',
  'visit.refitted': 'fitted the visit to what is known now',
  'visit.check_confirmed': 'confirmed a point before the exam',
  'visit.check_skipped': 'skipped a point before the exam, with a reason',
  'visit.station_recorded': 'wrote down what came of a station',
  'visit.stopped': 'stopped the visit for safety',
  'visit.signed': 'signed the record of the visit',
  'visit.no_show': 'said that the patient did not come',
  'visit.addendum': 'added to the signed record',
  'standby.joined': 'put the patient on the standby list',
  'standby.changed': 'changed the notice that the patient needs for a sooner start',
  'standby.left': 'took the patient off the standby list',
  'offer.made': 'offered a sooner start',
  'offer.accepted': 'accepted the sooner start',
  'offer.declined': 'declined the sooner start',
  'offer.expired': 'let the offer run out',
  'offer.withdrawn': 'took the offer of a sooner start back',
  'rehearsal.done': 'tried the camera',
  'change.helper_lost': 'said that the helper cannot come',
  'message.dropped': 'did not send a message that was no longer needed',
  'message.failed': 'could not deliver a message',
  'message.sent': 'sent a message',
  'task.opened': 'put a task on the desk',
  'task.changed': 'brought a task up to date',
  'task.ended': 'took a task off the desk that was settled',
}

/** The deed of one line, to be read after who did it. */
export function deedWords({ action, before, after }: Line): string {
  switch (action) {
    case 'referral.added':
      return `took the referral in (${{ typed: 'typed', csv: 'from a CSV file', fhir: 'from a FHIR file', follow_up: 'to follow a visit up' }[String(after?.source)] ?? 'by hand'})${after?.differs ? '; it came with other details than the record has' : ''}`
    case 'referral.screened':
      return `changed what is known; screened again: ${dispositionOf(after?.disposition)}`
    case 'screening.overruled':
      return `decided otherwise than the engine: ${dispositionOf(after?.disposition)}, because ${String(after?.because ?? '')}`
    case 'check.answered':
      return `answered ${count(Object.keys(after ?? {}).length, 'question')}${Object.values(before ?? {}).some((value) => value !== null) ? ', changing earlier answers' : ''}`
    case 'match.decided':
      return after?.decision === 'same'
        ? 'said that the patient is somebody the clinic knows'
        : 'said that the patient is somebody else'
    case 'task.acknowledged':
      return `ended a task: ${String(after?.note ?? '')}`
    case 'visit.held':
    case 'visit.booked':
    case 'visit.moved':
      return `${SAID[action]}${asideWords(after?.released)}${after?.because ? `, because: ${String(after.because)}` : ''}`
    case 'referral.closed':
      return `closed the referral: ${String(after?.because ?? '')}`
    case 'referral.reopened':
      return `opened the referral again: ${String(after?.because ?? '')}`
    default:
      return SAID[action] ?? action.replaceAll(/[._]/g, ' ')
  }
}

/** ", setting aside the see-by time" */
function asideWords(released: unknown): string {
  const kinds = RELAXATIONS.filter((kind) => Array.isArray(released) && released.includes(kind))
  return kinds.length === 0 ? '' : `, setting aside ${kinds.map((kind) => SET_ASIDE_WORDS[kind]).join(', ')}`
}

function dispositionOf(code: unknown): string {
  const known = DISPOSITIONS.find((one) => one === code)
  return known ? DISPOSITION_WORDS[known].toLowerCase() : 'not known'
}
