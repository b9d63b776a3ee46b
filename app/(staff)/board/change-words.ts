/** What happened last to a visit or its referral, in a few words for the board. */
const WORDS: Record<string, string> = {
  'change.helper_lost': 'helper can’t come',
  'check.answered': 'answers changed',
  'check.finished': 'home check finished',
  'check.invited': 'home check invited',
  'check.place_given': 'place given',
  'check.contact_given': 'contact given',
  'check.times_given': 'times given',
  'check.consent_given': 'consent given',
  'link.opened': 'personal page opened',
  'missing.asked_again': 'asked again for what is missing',
  'patient.edited': 'patient’s details changed',
  'plan.adjusted': 'exam changed',
  'readiness.confirmed': 'item confirmed',
  'readiness.withdrawn': 'item taken back',
  'referral.screened': 'screened again',
  'referral.triaged': 'triage changed',
  'rehearsal.done': 'camera tried',
  'screening.overruled': 'decided otherwise',
  'task.acknowledged': 'task settled',
  'task.opened': 'task opened',
  'visit.booked': 'booked',
  'visit.moved': 'moved',
  'visit.refitted': 'exam followed a change',
}

export function changeWords(action: string): string {
  return WORDS[action] ?? action.replace('.', ' ').replaceAll('_', ' ')
}
