/**
 * What may be booked for a referral as it stands? The mode follows from what was decided, by the engine or by a person.
 * Nothing is offered while an emergency call is open or while the decision is. Coming to the clinic is always safe, so
 * staff may choose it whatever the home allows; video is offered only where the decision says so.
 */

import { unreachable } from '#lib/base/invariant.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Actor } from '../access/actor.ts'
import type { RelaxationKind } from '../calendar/demand.ts'
import type { VisitMode } from '../calendar/supply.ts'
import type { ClinicPolicy } from '../policy/clinic-policy.ts'
import type { BookingCase } from './booking-case.ts'

export type Offer = {
  /** What was decided first. */
  modes: readonly [VisitMode, ...VisitMode[]]
  /** A video look sooner than the visit in person may be booked beside it, never instead of it. */
  earlyLook: boolean
}

/**
 * closed: the referral is. stopped: an emergency call is open. not_decided: it
 * has not been screened, or answers are missing. no_plan: video was decided by
 * a person, but no station can be done, so a visit has no length.
 */
export type NothingToOffer = 'closed' | 'stopped' | 'not_decided' | 'no_plan'

/** What may be booked, or why nothing may. */
export function offerFor(
  bookingCase: Pick<BookingCase, 'stage' | 'isStopped' | 'assessment'>,
): Result<Offer, NothingToOffer> {
  const { stage, isStopped, assessment } = bookingCase
  if (isStopped) return err('stopped')
  if (stage === 'closed') return err('closed')
  if (assessment === null) return err('not_decided')
  switch (assessment.disposition) {
    case 'ask_again':
      return err('not_decided')
    case 'emergency_advice':
      // Acknowledged, or it would be stopped: a person has called, and the clinic may still want to see the patient.
      return ok({ modes: ['in_person'], earlyLook: false })
    case 'urgent_in_person':
      return ok({ modes: ['in_person'], earlyLook: assessment.earlyLook && assessment.plan !== null })
    case 'in_person':
      return ok({ modes: ['in_person'], earlyLook: false })
    case 'video':
    case 'video_with_gaps':
      return assessment.plan === null ? err('no_plan') : ok({ modes: ['video', 'in_person'], earlyLook: false })
    default:
      return unreachable(assessment.disposition)
  }
}

/** Whether a visit stands in the way of another: one a referral, but for an early look and the visit it goes with. */
export function isAlreadyBooked(
  bookingCase: Pick<BookingCase, 'booked' | 'earlyLook'>,
  mode: VisitMode,
  offer: Pick<Offer, 'earlyLook'>,
): boolean {
  const { booked, earlyLook } = bookingCase
  const isPair = offer.earlyLook && booked?.mode !== mode && earlyLook === null
  return booked !== null && !isPair
}

/**
 * Conditions that somebody may release: staff any, having asked whom it concerns, but for time kept for urgent visits
 * where the clinic keeps it whatever happens; a patient only their own times.
 */
export function mayRelease(kind: RelaxationKind, actorKind: Actor['kind'], policy: ClinicPolicy): boolean {
  if (actorKind === 'patient') return kind === 'other_patient_times'
  return kind !== 'urgent_starts' || policy.booking.urgentStarts === 'released_with_reason'
}

/** What is never released without a reason on file: it costs this patient, or an urgent one, time that was theirs. */
export function needsReason(kind: RelaxationKind): boolean {
  return kind === 'after_see_by' || kind === 'urgent_starts'
}

/**
 * Whether time kept for urgent visits is for this one at once: it was decided that the patient has to come urgently, or
 * the referral came with more than routine priority. By video or in person makes no difference.
 */
export function isUrgentVisit({ priority, assessment }: Pick<BookingCase, 'priority' | 'assessment'>): boolean {
  const disposition = assessment?.disposition
  return priority !== 'routine' || disposition === 'urgent_in_person' || disposition === 'emergency_advice'
}
