/**
 * What has to happen next with a referral? One answer each, because the desk is
 * a list of things to do, not of states. The first rule that fits wins, and the
 * rules run from danger to routine: a call that saves someone never stands
 * behind a form that is not filled in.
 */
import { Temporal } from '#lib/base/time.ts'
import type { Missing } from '../intake/referral-draft.ts'
import type { Disposition } from '../screening/screening.ts'
import type { Stage, TaskKind } from './stages.ts'

export type DeskState = {
  referralId: string
  stage: Stage
  missing: readonly Missing[]
  openTasks: readonly TaskKind[]
  homeCheck: 'not_invited' | 'invited' | 'started' | 'finished'
  /** Silence after this instant (ISO) is chased; null = nobody is waited for. */
  chaseAt: string | null
  /** The one that counts: a person's where a person overruled. */
  disposition: Disposition | null
  visit: { status: 'held' | 'booked'; mode: 'video' | 'in_person' } | null
  /** ISO instant. */
  seeBy: string | null
  /** ISO instant. */
  receivedAt: string
}

/** In the order in which the desk shows them. */
export const NEXT_STEPS = [
  'call_now',
  'decide_match',
  'triage',
  'after_visit',
  'rebook',
  'book_in_person',
  'ask_again',
  'chase',
  'complete_details',
  'book_video',
  'invite',
  'waiting_for_patient',
  'booked',
  'closed',
] as const
export type NextStep = (typeof NEXT_STEPS)[number]

/** Headings of the desk, and what to do under each. */
export const NEXT_STEP_WORDS: Readonly<Record<NextStep, { heading: string; todo: string }>> = {
  call_now: { heading: 'Call now', todo: 'Call the patient, then write down what was said.' },
  decide_match: { heading: 'Same person?', todo: 'Decide whether this is somebody the clinic knows.' },
  triage: { heading: 'Triage', todo: 'Read the referral: red flags, suspected condition, side, see-by time.' },
  after_visit: {
    heading: 'After a visit',
    todo: 'It did not happen or broke off. Call the patient, then book another start or close the referral.',
  },
  rebook: { heading: 'Book again', todo: 'Something changed and the visit no longer fits. Find another start.' },
  book_in_person: { heading: 'Book in person', todo: 'Find a start at the clinic before the see-by time.' },
  ask_again: { heading: 'Ask again', todo: 'A few answers are missing. Ask only those.' },
  chase: { heading: 'Chase', todo: 'The home check has gone quiet. Phone and fill it in together.' },
  complete_details: { heading: 'Complete the details', todo: 'Find out what the referral left out.' },
  book_video: { heading: 'Book by video', todo: 'Find a start that suits everybody.' },
  invite: { heading: 'Invite to the home check', todo: 'Send the link, or fill it in by phone.' },
  waiting_for_patient: { heading: 'Waiting for the patient', todo: 'Nothing to do before the next reminder.' },
  booked: { heading: 'Booked', todo: 'Readiness is on the board.' },
  closed: { heading: 'Closed', todo: 'Nothing to do.' },
}

/** The one thing to do next. `now` decides only whether silence has lasted too long. */
export function nextStep(state: DeskState, now: Temporal.Instant): NextStep {
  const { disposition, openTasks, visit } = state
  const open = (kind: TaskKind): boolean => openTasks.includes(kind)
  const isToRebook = (mode: 'video' | 'in_person'): boolean =>
    open('replan') || open('stranded') || !fits(mode, disposition)

  // Even a closed referral: an emergency nobody answered for is not over.
  if (open('emergency_call') || open('urgent_flag') || open('safety_stop')) return 'call_now'
  if (state.stage === 'closed') return 'closed'
  // Before anything is written to what may be another person's record.
  if (open('match')) return 'decide_match'
  // Before the missing details: what is missing must not hold up the look for red flags.
  if (state.stage === 'received') return 'triage'

  if (open('after_visit') && visit?.status !== 'booked') return 'after_visit'

  if (visit?.status === 'booked') return isToRebook(visit.mode) ? 'rebook' : 'booked'

  switch (disposition) {
    case 'emergency_advice':
    case 'urgent_in_person':
    case 'in_person':
      // Missing details and an unfinished home check don't hold these up: the clinic asks at the desk.
      return 'book_in_person'
    case 'video':
    case 'video_with_gaps':
      return state.missing.length > 0 ? 'complete_details' : 'book_video'
    case 'ask_again':
    case null:
      return towardsAnswers(state, now)
  }
}

function towardsAnswers(state: DeskState, now: Temporal.Instant): NextStep {
  if (state.openTasks.includes('phone_home_check') || state.openTasks.includes('message_failed')) return 'chase'
  switch (state.homeCheck) {
    case 'not_invited':
      return state.missing.length > 0 ? 'complete_details' : 'invite'
    case 'invited':
    case 'started':
      return isPast(state.chaseAt, now) ? 'chase' : 'waiting_for_patient'
    case 'finished':
      // Finished and still undecided: the least questions that would decide it are asked again.
      return 'ask_again'
  }
}

/** Coming to the clinic is always safe, so an in-person visit fits whatever the home allows. */
function fits(mode: 'video' | 'in_person', disposition: Disposition | null): boolean {
  return mode === 'in_person' || disposition === 'video' || disposition === 'video_with_gaps'
}

function isPast(at: string | null, now: Temporal.Instant): boolean {
  return at !== null && Temporal.Instant.compare(Temporal.Instant.from(at), now) <= 0
}

export type DeskGroup<T> = { step: NextStep; rows: T[] }

/** The desk: groups in their order, empty ones left out; in a group the oldest see-by first, then the longest waiting. */
export function groupDesk<T extends DeskState>(states: readonly T[], now: Temporal.Instant): DeskGroup<T>[] {
  const rows = states
    .map((state) => ({ state, step: nextStep(state, now), due: millis(state.seeBy), since: millis(state.receivedAt) }))
    .sort(
      (a, b) => compare(a.due, b.due) || compare(a.since, b.since) || compare(a.state.referralId, b.state.referralId),
    )
  const byStep = Map.groupBy(rows, (row) => row.step)
  return NEXT_STEPS.flatMap((step) => {
    const group = byStep.get(step)
    return group ? [{ step, rows: group.map((row) => row.state) }] : []
  })
}

/** No see-by yet sorts behind every date. */
function millis(instant: string | null): number {
  return instant === null ? Number.POSITIVE_INFINITY : Temporal.Instant.from(instant).epochMilliseconds
}

function compare<T extends number | string>(a: T, b: T): number {
  return a < b ? -1 : a > b ? 1 : 0
}
