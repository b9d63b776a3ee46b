/**
 * The standby list: who would come sooner, and who of them is asked first when a start comes free? The one who has to be
 * seen first, then the one who was judged more urgent, then the one who has waited longest on the list.
 */
import { Temporal } from '#lib/base/time.ts'
import type { Priority } from '../desk/stages.ts'
import type { Disposition } from '../screening/screening.ts'

/** served: a sooner start was taken. left: taken off. over: the referral was closed, or what was waited for has passed. */
export const STANDBY_ENDS = ['served', 'left', 'over'] as const
export type StandbyEnd = (typeof STANDBY_ENDS)[number]

/** withdrawn: the clinic took it back, or whoever was asked left the list. */
export const OFFER_OUTCOMES = ['accepted', 'declined', 'expired', 'withdrawn'] as const
export type OfferOutcome = (typeof OFFER_OUTCOMES)[number]

/** Shortest notice a person may choose, in hours. */
export const NOTICE_CHOICES = [2, 4, 24, 48, 168] as const

export type Waiting = {
  entryId: string
  seeBy: Temporal.Instant | null
  disposition: Disposition | null
  priority: Priority
  joinedAt: Temporal.Instant
}

/** Who is decided to come urgently comes before who comes at all, before video. */
const URGENCY: Record<Disposition, number> = {
  emergency_advice: 0,
  urgent_in_person: 1,
  in_person: 2,
  video_with_gaps: 3,
  video: 3,
  ask_again: 4,
}
const PRIORITY: Record<Priority, number> = { stat: 0, asap: 1, urgent: 2, routine: 3 }

/** The order in which a start is offered. */
export function moreUrgentFirst(a: Waiting, b: Waiting): number {
  return (
    compareSeeBy(a.seeBy, b.seeBy) ||
    urgencyOf(a) - urgencyOf(b) ||
    PRIORITY[a.priority] - PRIORITY[b.priority] ||
    Temporal.Instant.compare(a.joinedAt, b.joinedAt) ||
    (a.entryId < b.entryId ? -1 : Number(a.entryId > b.entryId))
  )
}

function compareSeeBy(a: Temporal.Instant | null, b: Temporal.Instant | null): number {
  if (a === null || b === null) return Number(a === null) - Number(b === null)
  return Temporal.Instant.compare(a, b)
}

function urgencyOf({ disposition }: Waiting): number {
  return disposition === null ? URGENCY.ask_again : URGENCY[disposition]
}
