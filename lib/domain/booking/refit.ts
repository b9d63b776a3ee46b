/**
 * Something changed after the visit was booked: does the visit still fit?
 *
 * The packet always follows what is safe now: a station that has closed leaves
 * the plan at once. Nothing is ever added beyond the minutes that were booked;
 * whatever no longer fits is named, for a person to decide.
 */
import { Temporal } from '#lib/base/time.ts'
import type { WeeklyWindow } from '../home/details.ts'
import type { ExamPlan } from '../plan/exam-plan.ts'
import type { Disposition, Screening } from '../screening/screening.ts'

/** Why a booked visit no longer fits, gravest first. */
export const REFIT_REASONS = ['not_by_video', 'no_licence', 'helper_not_free', 'patient_not_free', 'too_long'] as const
export type RefitReason = (typeof REFIT_REASONS)[number]

export type BookedVideo = { startsAt: Temporal.Instant; endsAt: Temporal.Instant; plan: ExamPlan | null }

export type RefitInput = {
  booked: BookedVideo
  /** The one that counts. */
  disposition: Disposition
  /** The plan made from the newest screening; null = no station is possible. */
  plan: ExamPlan | null
  hasLicence: boolean
  timeZone: string
  patientWindows: readonly WeeklyWindow[]
  helperWindows: readonly WeeklyWindow[]
}

/** The reasons for which a person has to look at a booked video visit; none = it fits. */
export function whyItNoLongerFits(input: RefitInput): RefitReason[] {
  const { booked, disposition, plan, timeZone } = input
  const byVideo = disposition === 'video' || disposition === 'video_with_gaps'
  const bookedMin = booked.startsAt.until(booked.endsAt).total('minutes')
  const helper = plan?.helperWindow ?? null
  const fits: Record<RefitReason, boolean> = {
    not_by_video: byVideo,
    no_licence: input.hasLicence,
    helper_not_free:
      helper === null ||
      isFree(
        booked.startsAt.add({ minutes: helper.fromMin }),
        booked.startsAt.add({ minutes: helper.toMin }),
        timeZone,
        input.helperWindows,
      ),
    patient_not_free: isFree(booked.startsAt, booked.endsAt, timeZone, input.patientWindows),
    too_long: plan === null || plan.visitMin <= bookedMin,
  }
  return REFIT_REASONS.filter((reason) => !fits[reason])
}

/** Only the stations that were planned already: what is new would not fit into the minutes that were booked. */
export function keepToPlanned(screening: Screening, planned: ExamPlan | null): Screening {
  const known = new Set(planned?.steps.map((step) => step.stationId))
  return { ...screening, stations: screening.stations.filter((station) => known.has(station.stationId)) }
}

/** Inside one of the weekly windows, on the wall clock of the zone. No windows = any time. */
function isFree(
  from: Temporal.Instant,
  to: Temporal.Instant,
  timeZone: string,
  windows: readonly WeeklyWindow[],
): boolean {
  if (windows.length === 0) return true
  const start = from.toZonedDateTimeISO(timeZone)
  const end = to.toZonedDateTimeISO(timeZone)
  const startsAt = start.toPlainTime()
  const endsAt = end.toPlainTime()
  if (!start.toPlainDate().equals(end.toPlainDate())) return false
  const open = windows
    .filter((window) => window.weekday === start.dayOfWeek)
    .map((window) => ({ from: Temporal.PlainTime.from(window.from), to: Temporal.PlainTime.from(window.to) }))
    .sort((a, b) => Temporal.PlainTime.compare(a.from, b.from))
  // Windows that touch are one: a visit may run from the morning into the afternoon.
  let reached = startsAt
  for (const window of open) {
    if (Temporal.PlainTime.compare(window.from, reached) <= 0 && Temporal.PlainTime.compare(window.to, reached) > 0)
      reached = window.to
  }
  return Temporal.PlainTime.compare(endsAt, reached) <= 0 && !reached.equals(startsAt)
}
