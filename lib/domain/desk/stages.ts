/** How far a referral has come. What has to happen next is worked out from more than this (`next-step.ts`). */
export const STAGES = ['received', 'triaged', 'screened', 'booked', 'closed'] as const
export type Stage = (typeof STAGES)[number]

/** FHIR R4 request-priority: the codes a referral may carry. */
export const PRIORITIES = ['routine', 'urgent', 'asap', 'stat'] as const
export type Priority = (typeof PRIORITIES)[number]

/**
 * Things a person has to do.
 * emergency_call: an emergency flag was raised: call the patient now, acknowledge.
 * urgent_flag: a flag with a time limit was raised, by the patient or by staff.
 * match: is this the same patient?
 * phone_home_check: no answer, or no e-mail: fill the home check by phone.
 * replan: something changed and the visit no longer fits.
 * stranded: the clinic changed (a session, a licence, a room, a holiday) and a booked visit lost its place in it.
 * message_failed: a message could not be delivered: call instead.
 * see_by_breach: no start in time was found.
 * safety_stop: a visit was stopped because it was not safe to go on.
 * after_visit: a visit did not happen or broke off, and how it goes on is to be arranged.
 */
export const TASK_KINDS = [
  'emergency_call',
  'urgent_flag',
  'match',
  'phone_home_check',
  'replan',
  'stranded',
  'message_failed',
  'see_by_breach',
  'safety_stop',
  'after_visit',
] as const
export type TaskKind = (typeof TASK_KINDS)[number]
