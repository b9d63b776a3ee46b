/** What staff call the things they have to do, and what each asks of them. */
import type { TaskKind } from './stages.ts'

export const TASK_WORDS: Readonly<Record<TaskKind, { title: string; todo: string }>> = {
  emergency_call: { title: 'Call now: red flag', todo: 'Call the patient at once, then write down what was said.' },
  urgent_flag: { title: 'New red flag', todo: 'Call the patient today and find a start in time.' },
  match: { title: 'Same person?', todo: 'Decide whether this is somebody the clinic knows.' },
  phone_home_check: {
    title: 'Phone for the home check',
    todo: 'Call the patient and fill the home check in together.',
  },
  replan: { title: 'Something changed', todo: 'Look at the visit again and decide how it goes on.' },
  stranded: {
    title: 'The visit lost its place',
    todo: 'The clinic changed since it was booked. Find another start, or cancel the visit, and tell the patient.',
  },
  message_failed: { title: 'Message not delivered', todo: 'Call the patient and tell them instead.' },
  see_by_breach: { title: 'No start in time', todo: 'No start was found before the see-by time. Look for other ways.' },
  safety_stop: {
    title: 'Visit stopped for safety',
    todo: 'Ask the clinician what is needed, call the patient or whoever is with them, then write down what was said.',
  },
  after_visit: {
    title: 'A visit to follow up',
    todo: 'Call the patient, then book another start or close the referral with the reason.',
  },
}
