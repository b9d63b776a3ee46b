/** What can come of a station, of a finding, and of a whole visit: the codes that are stored, and what staff call them. */

/** What is confirmed before anything is examined. Each is confirmed, or skipped with a reason; never passed over. */
export const CHECK_ITEMS = ['identity', 'place', 'emergency_contact', 'consent'] as const
export type CheckItem = (typeof CHECK_ITEMS)[number]
export const CHECK_STATES = ['confirmed', 'skipped'] as const
export type CheckState = (typeof CHECK_STATES)[number]

/** What a clinician can say of one station on one side. */
export const RECORDED_RESULTS = ['done', 'done_with_difficulty', 'not_possible', 'stopped'] as const
/** `not_reached` is nobody's entry: signing writes it for what was planned and has none. */
export const RESULTS = [...RECORDED_RESULTS, 'not_reached'] as const
export type RecordedResult = (typeof RECORDED_RESULTS)[number]
export type StationResult = (typeof RESULTS)[number]

/** Why a station was hard, could not be done, or was stopped. */
export const REASONS = [
  'pain',
  'unsteady',
  'no_helper',
  'no_equipment',
  'no_room',
  'camera',
  'line',
  'light',
  'not_understood',
  'not_able',
  'declined',
  'no_time',
  'safety',
  'other',
] as const
export type Reason = (typeof REASONS)[number]

export const FINDING_KINDS = ['normal', 'abnormal', 'noted', 'measured'] as const
/** What a clinician says of what was seen; measured values stand beside it. */
export const JUDGEMENTS = ['normal', 'abnormal', 'noted'] as const
export type Judgement = (typeof JUDGEMENTS)[number]

export const VISIT_OUTCOMES = ['completed', 'left_early', 'technical_failure', 'stopped_for_safety', 'no_show'] as const
export type VisitOutcome = (typeof VISIT_OUTCOMES)[number]

/** How it goes on after a visit. */
export const FOLLOW_UPS = ['in_person', 'by_video', 'call', 'none'] as const
export type FollowUp = (typeof FOLLOW_UPS)[number]

export const CHECK_WORDS: Readonly<Record<CheckItem, string>> = {
  identity: 'Who it is',
  place: 'Where they are now',
  emergency_contact: 'Whom to call for them',
  consent: 'Consent to a visit by video',
}

export const RESULT_WORDS: Readonly<Record<StationResult, string>> = {
  done: 'Done',
  done_with_difficulty: 'Done with difficulty',
  not_possible: 'Not possible',
  stopped: 'Stopped',
  not_reached: 'Not reached',
}

export const REASON_WORDS: Readonly<Record<Reason, string>> = {
  pain: 'Pain',
  unsteady: 'Unsteady on the feet',
  no_helper: 'No helper there',
  no_equipment: 'Something is missing at home',
  no_room: 'Not enough room',
  camera: 'The camera does not show it',
  line: 'Picture or sound broke off',
  light: 'Too dark',
  not_understood: 'Not understood',
  not_able: 'Patient can’t do it',
  declined: 'Patient does not want to',
  no_time: 'No time left',
  safety: 'Not safe now',
  other: 'Something else',
}

export const JUDGEMENT_WORDS: Readonly<Record<Judgement, string>> = {
  normal: 'Normal',
  abnormal: 'Abnormal',
  noted: 'Noted, not judged',
}

export const VISIT_OUTCOME_WORDS: Readonly<Record<VisitOutcome, string>> = {
  completed: 'Completed',
  left_early: 'Patient left early',
  technical_failure: 'Technical failure',
  stopped_for_safety: 'Stopped for safety',
  no_show: 'Patient did not come',
}

export const FOLLOW_UP_WORDS: Readonly<Record<FollowUp, string>> = {
  in_person: 'See the patient at the clinic',
  by_video: 'Book again by video',
  call: 'Call the patient and decide with them',
  none: 'No follow-up',
}
