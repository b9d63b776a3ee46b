/**
 * How does it go on after a visit, and by when? Every outcome has its next step; none closes a referral without a word.
 */
import { Temporal } from '#lib/base/time.ts'
import { type ClinicHours, dueBy } from '../calendar/due.ts'
import type { ClinicPolicy } from '../policy/clinic-policy.ts'
import type { LeftOver } from './record.ts'
import type { FollowUp, VisitOutcome } from './vocabulary.ts'

/** What may be decided after each outcome. After a stop somebody must see or speak to the patient; after a no-show, call. */
export const FOLLOW_UPS_AFTER: Readonly<Record<VisitOutcome, readonly FollowUp[]>> = {
  completed: ['in_person', 'by_video', 'none'],
  left_early: ['in_person', 'by_video', 'call', 'none'],
  technical_failure: ['in_person', 'by_video', 'call', 'none'],
  stopped_for_safety: ['in_person', 'call'],
  no_show: ['call'],
}

/** What is chosen unless the clinician chooses otherwise. */
export function suggestedFollowUp(outcome: VisitOutcome, left: readonly LeftOver[]): FollowUp {
  switch (outcome) {
    case 'completed':
      return left.some(({ importance }) => importance !== 'optional') ? 'in_person' : 'none'
    case 'stopped_for_safety':
      return 'in_person'
    case 'technical_failure':
      return 'by_video'
    case 'left_early':
    case 'no_show':
      return 'call'
  }
}

/**
 * The latest time by which what is left over is seen in person. A person may bring it forward, never push it back.
 */
export function followUpLimit(
  outcome: VisitOutcome,
  left: readonly LeftOver[],
  from: Temporal.Instant,
  policy: Pick<ClinicPolicy, 'followUp' | 'seeBy'>,
  clinic: ClinicHours,
): Temporal.Instant {
  const limits = [policy.seeBy.routine]
  if (left.some(({ importance }) => importance === 'essential')) limits.push(policy.followUp.essential)
  if (outcome === 'stopped_for_safety') limits.push(policy.followUp.afterStop)
  const ends = limits.map((limit) => dueBy(limit, from, clinic)).sort(Temporal.Instant.compare)
  return ends[0] ?? from
}
