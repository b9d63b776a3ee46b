/**
 * What does this referral's visit ask of the calendar? By video it lasts as long as the exam plan, and the helper must
 * be free in the plan's window; in person it lasts what the clinic's policy says. Everything else is the same for both.
 */
import { invariant } from '#lib/base/invariant.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { Actor } from '../access/actor.ts'
import { type Demand, RELAXATIONS, type RelaxationKind } from '../calendar/demand.ts'
import type { VisitMode } from '../calendar/supply.ts'
import { DAY_MS } from '../calendar/zone-clock.ts'
import type { ClinicPolicy } from '../policy/clinic-policy.ts'
import type { BookingCase } from './booking-case.ts'
import { isUrgentVisit, mayRelease } from './offer.ts'

export const DAY_PARTS = ['morning', 'afternoon', 'evening'] as const
export type DayPart = (typeof DAY_PARTS)[number]

/** On the patient's wall. */
const HOURS: Record<DayPart, { from: string; to: string }> = {
  morning: { from: '00:00', to: '12:00' },
  afternoon: { from: '12:00', to: '17:00' },
  evening: { from: '17:00', to: '24:00' },
}

export type Wishes = {
  /** Who asks: it decides what may be released. */
  askedBy: Actor['kind']
  mode: VisitMode
  /** Nobody else, unless released. */
  clinicianId: string | null
  /** No other time of day, unless released. */
  dayPart: DayPart | null
  /** In person at this site alone, unless released. */
  siteId: string | null
  /** No day of the patient's before this one. */
  fromDay: Temporal.PlainDate | null
  released: readonly RelaxationKind[]
  /** An early look must start before this; null for a visit of its own. */
  before: Temporal.Instant | null
  limit: number
  perDay: number | null
}

/** No wish but the mode, for the check of one start. */
export function plainWishes(askedBy: Actor['kind'], mode: VisitMode, released: readonly RelaxationKind[]): Wishes {
  return {
    askedBy,
    mode,
    clinicianId: null,
    dayPart: null,
    siteId: null,
    fromDay: null,
    released,
    before: null,
    limit: 1,
    perDay: null,
  }
}

export type Rules = {
  policy: ClinicPolicy
  clinicTimeZone: string
  /** Every site of the clinic. */
  sites: readonly { id: string; state: string }[]
  now: Temporal.Instant
}

/** The zone in which the patient reads the time: where they will be, else where they live, else the clinic's. */
export function patientZone(bookingCase: Pick<BookingCase, 'home' | 'patient'>, clinicTimeZone: string): string {
  return bookingCase.home?.timeZone ?? bookingCase.patient.timeZone ?? clinicTimeZone
}

/** Makes the demand of a referral. */
export function demandOf(bookingCase: BookingCase, wishes: Wishes, rules: Rules): Demand {
  const { patient, home, assessment } = bookingCase
  const { policy } = rules
  const isVideo = wishes.mode === 'video'
  const plan = assessment?.plan ?? null
  invariant(!isVideo || plan, 'a video visit is looked for without an exam plan')
  const isReleased = (kind: RelaxationKind) => wishes.released.includes(kind)
  const now = rules.now.epochMilliseconds
  const patientTimeZone = patientZone(bookingCase, rules.clinicTimeZone)
  const wishedFrom = wishes.fromDay?.toZonedDateTime(patientTimeZone).epochMilliseconds ?? now
  const notBefore = Math.max(now, wishedFrom)
  const horizonDays = policy.booking.horizonDays * (isReleased('longer_horizon') ? 2 : 1)
  return {
    minutes: isVideo && plan ? plan.visitMin : policy.visit.inPersonMin,
    mode: wishes.mode,
    now,
    notBefore,
    seeBy: latestStart(bookingCase, wishes),
    // Who asks for a later day may not book further ahead for that.
    horizonDays: Math.max(0, horizonDays - (notBefore - now) / DAY_MS),
    patientId: patient.id,
    patientTimeZone,
    patientWindows: isReleased('other_patient_times') ? [] : (home?.patientWindows ?? []),
    helperWindows: isReleased('other_helper_times') ? [] : (home?.helperWindows ?? []),
    helper: isVideo ? (plan?.helperWindow ?? null) : null,
    interpreterLanguage: isReleased('without_interpreter') ? null : patient.interpreterLanguage,
    placeState: home?.placeState ?? null,
    siteIds:
      wishes.siteId === null || isReleased('another_site') ? nearestFirst(patient, rules.sites) : [wishes.siteId],
    clinician:
      wishes.clinicianId === null ? null : { clinicianId: wishes.clinicianId, only: !isReleased('another_clinician') },
    dayPart: wishes.dayPart === null ? null : { ...HOURS[wishes.dayPart], only: !isReleased('another_day_part') },
    anyNotice: isReleased('short_notice'),
    keptBy:
      isUrgentVisit(bookingCase) || isReleased('urgent_starts')
        ? null
        : { timeZone: rules.clinicTimeZone, opensAt: policy.opensAt, closesAt: policy.closesAt },
    releasable: RELAXATIONS.filter((kind) => mayRelease(kind, wishes.askedBy, policy)),
    limit: wishes.limit,
    perDay: wishes.perDay,
  }
}

/**
 * The site the patient prefers, then those of the state they live in, then the others. Without a stated preference any
 * site is as good as another, and the soonest start wins.
 */
function nearestFirst(
  { preferredSiteId, state }: BookingCase['patient'],
  sites: readonly { id: string; state: string }[],
): string[] {
  if (!sites.some((site) => site.id === preferredSiteId)) return []
  const distance = (site: { id: string; state: string }) =>
    site.id === preferredSiteId ? 0 : site.state === state ? 1 : 2
  return sites.toSorted((a, b) => distance(a) - distance(b)).map((site) => site.id)
}

/** The see-by time is met by the visit in person; a look beside it only has to be sooner than that one. */
function latestStart({ seeBy }: BookingCase, { before, released }: Wishes): number | null {
  if (before !== null) return before.epochMilliseconds - 1
  return released.includes('after_see_by') ? null : (seeBy?.epochMilliseconds ?? null)
}
