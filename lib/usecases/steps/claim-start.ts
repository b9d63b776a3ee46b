/**
 * Makes a start ready to be written: is it still what the referral may have, does it still fit, and what does it take?
 * Holding, booking and moving all come through here, so a start made by hand meets the same conditions as an offered
 * one. Who gets it is not decided here but by the constraints, when it is written.
 */

import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { loadSupply } from '#db/queries/supply.ts'
import { type ClaimedStart, lapseHolds, type Preparation, queueFor } from '#db/queries/visits.ts'
import { isShowable } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import type { BookingCase, Claim } from '#lib/domain/booking/booking-case.ts'
import { demandOf, patientZone, plainWishes } from '#lib/domain/booking/demand-of.ts'
import { isAlreadyBooked, mayRelease, type NothingToOffer, needsReason, offerFor } from '#lib/domain/booking/offer.ts'
import { type BookRefusal, RELAXATIONS, type RelaxationKind } from '#lib/domain/calendar/demand.ts'
import { isBookable } from '#lib/domain/calendar/is-bookable.ts'
import { prepareSupply } from '#lib/domain/calendar/supply.ts'
import type { Ctx } from '../context.ts'

const id = z.string().refine(isShowable)

export const askedStartInput = z.object({
  sessionId: id,
  clinicianId: id,
  mode: z.enum(['video', 'in_person']),
  startsAt: z.iso.datetime().transform((text) => Temporal.Instant.from(text)),
  /** Null = any that is free. */
  roomId: id.nullable(),
  interpreterId: id.nullable(),
  /** Conditions that a person has released for this start. */
  released: z.array(z.enum(RELAXATIONS)),
  /** Why, where one of them takes a reason. */
  because: z.string().trim().max(500).nullable().default(null),
})
export type AskedStart = z.output<typeof askedStartInput>

export type ClaimRefusal =
  | { code: NothingToOffer }
  /** Not the way in which this referral is to be seen. */
  | { code: 'mode_not_offered' }
  /** A video look is only ever booked beside a visit in person. */
  | { code: 'in_person_first' }
  /** Another start for a booked visit is a move. */
  | { code: 'already_booked' }
  /** A patient can't release this condition. */
  | { code: 'release_not_allowed' }
  /** The start can be had, but only with a reason on file. */
  | { code: 'reason_needed' }
  | { code: 'start_taken' }
  | { code: 'start_refused'; because: BookRefusal }

export type ReadyClaim = { start: ClaimedStart; preparation: Preparation; clinic: Clinic }

/** What the constraints say when somebody else was quicker. */
export const RACE_LOST: Record<string, { code: 'start_taken' } | { code: 'start_refused'; because: BookRefusal }> = {
  visits_clinician_no_overlap: { code: 'start_taken' },
  visits_interpreter_no_overlap: { code: 'start_taken' },
  visits_room_no_overlap: { code: 'start_taken' },
  visits_patient_no_overlap: { code: 'start_refused', because: 'patient_busy' },
}

const TAKEN: readonly BookRefusal[] = ['clinician_busy', 'no_room', 'no_interpreter']

/**
 * Checks a start against the referral (locked by the caller) and clears run-out holds out of its way. `asOf` is the time
 * for notice and horizon: a hold is judged by when it was made. `keep` is the hold that is about to be booked, `moving` the visit that is about to
 * be moved.
 */
export async function claimStart(
  tx: Db,
  ctx: Ctx,
  bookingCase: BookingCase,
  asked: AskedStart,
  options: { now: Temporal.Instant; asOf: Temporal.Instant; keep: string | null; moving: Claim | null },
): Promise<Result<ReadyClaim, ClaimRefusal>> {
  const { clinicId, referralId, patient, assessment } = bookingCase
  const offer = offerFor(bookingCase)
  if (!offer.ok) return err({ code: offer.error })
  const modes = ctx.actor.kind === 'patient' ? offer.value.modes.slice(0, 1) : offer.value.modes
  const isEarlyLook = asked.mode === 'video' && offer.value.earlyLook && ctx.actor.kind !== 'patient'
  if (!modes.includes(asked.mode) && !isEarlyLook) return err({ code: 'mode_not_offered' })
  const main = bookingCase.booked
  if (isEarlyLook && main?.mode !== 'in_person') return err({ code: 'in_person_first' })
  const { moving } = options
  if (!moving && isAlreadyBooked(bookingCase, asked.mode, offer.value)) return err({ code: 'already_booked' })
  // A look and the visit in person it goes with stay what they are: neither takes the other's place.
  if (moving && moving.mode !== asked.mode && (isEarlyLook || bookingCase.earlyLook))
    return err({ code: 'mode_not_offered' })

  const around = { from: asked.startsAt.subtract({ hours: 24 }), to: asked.startsAt.add({ hours: 48 }) }
  const [, clinic, supply] = await Promise.all([
    queueFor(tx, clinicId, 'clinician', asked.clinicianId),
    getClinic(tx, clinicId),
    loadSupply(tx, clinicId, {
      ...around,
      now: options.now,
      patientId: patient.id,
      referralId,
      clinicianId: asked.clinicianId,
      rooms: asked.mode === 'in_person',
      interpreting: patient.interpreterLanguage,
    }),
  ])
  if (!asked.released.every((kind) => mayRelease(kind, ctx.actor.kind, clinic.policy)))
    return err({ code: 'release_not_allowed' })
  const wishes = {
    ...plainWishes(ctx.actor.kind, asked.mode, asked.released),
    before: isEarlyLook ? (main?.startsAt ?? null) : null,
  }
  const rules = { policy: clinic.policy, clinicTimeZone: clinic.timeZone, sites: supply.sites, now: options.asOf }
  const prepared = prepareSupply(supply, around.from.epochMilliseconds, around.to.epochMilliseconds)
  const check = (released: readonly RelaxationKind[]) => {
    const demand = demandOf(bookingCase, { ...wishes, released }, rules)
    return isBookable(prepared, demand, { ...asked, start: asked.startsAt.epochMilliseconds })
  }
  const checked = check(asked.released)
  if (!checked.ok) {
    return err(
      TAKEN.includes(checked.error) ? { code: 'start_taken' } : { code: 'start_refused', because: checked.error },
    )
  }

  // Whoever looked for more than they then took has set nothing aside.
  const released = asked.released.filter((kind) => !check(asked.released.filter((other) => other !== kind)).ok)
  const releasedBecause = released.some(needsReason) ? asked.because || null : null
  if (released.some(needsReason) && releasedBecause === null) return err({ code: 'reason_needed' })

  const at = (milliseconds: number) => Temporal.Instant.fromEpochMilliseconds(milliseconds)
  const { clinicianId, sessionId, interpreterId, roomId, mode, ...times } = checked.value
  const start: ClaimedStart = {
    clinicianId,
    sessionId,
    interpreterId,
    roomId,
    mode,
    startsAt: at(times.start),
    endsAt: at(times.end),
    busyFrom: at(times.busyFrom),
    busyTo: at(times.busyTo),
  }
  await Promise.all([queueFor(tx, clinicId, 'interpreter', interpreterId), queueFor(tx, clinicId, 'room', roomId)])
  // Not waited for: what is written next goes behind it, and fails with it.
  lapseHolds(tx, clinicId, start, { referralId, keep: options.keep }, options.now).catch(() => {})
  const preparation: Preparation = {
    plan: mode === 'video' ? (assessment?.plan ?? null) : null,
    assessmentId: assessment?.id ?? null,
    patientTimeZone: patientZone(bookingCase, clinic.timeZone),
    placeState: mode === 'video' ? (bookingCase.home?.placeState ?? null) : stateOf(supply, times.siteId),
    released,
    releasedBecause,
  }
  return ok({ start, preparation, clinic })
}

/** In person the patient is where the site is. */
function stateOf(supply: { sites: readonly { id: string; state: string }[] }, siteId: string | null): string | null {
  return supply.sites.find((site) => site.id === siteId)?.state ?? null
}

/** What was set aside for a start, as its audit line says it. */
export function setAside({ released, releasedBecause: because }: Preparation): {
  released: string[]
  because?: string
} {
  return because === null ? { released } : { released, because }
}
