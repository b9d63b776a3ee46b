/** What staff call a disposition and a priority, so that every page says the same. */
import type { Disposition } from '../screening/screening.ts'
import type { Priority } from './stages.ts'

export const DISPOSITION_WORDS: Readonly<Record<Disposition, string>> = {
  emergency_advice: 'Emergency advice',
  urgent_in_person: 'Urgent in person',
  in_person: 'In person',
  ask_again: 'Ask again',
  video_with_gaps: 'Video with gaps',
  video: 'Video',
}

export const PRIORITY_WORDS: Readonly<Record<Priority, string>> = {
  routine: 'Routine',
  urgent: 'Urgent',
  asap: 'As soon as possible',
  stat: 'At once',
}
