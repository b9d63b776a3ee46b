/**
 * Something changed after the visit was booked: does the visit still fit?
 *
 * The packet always follows what is safe now: a station that has closed leaves
 * the plan at once. Nothing is ever added beyond the minutes that were booked;
 * whatever no longer fits is named, for a person to decide.
 */
import type { Temporal } from '#lib/base/time.ts'
import { type WeeklyWindow, windowsBetween } from '../calendar/weekly-window.ts'
import { DAY_MS, zoneClock } from '../calendar/zone-clock.ts'
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
  /** A video look beside an in-person visit that stands: it was never to replace it. */
  isEarlyLook: boolean
  timeZone: string
  patientWindows: readonly WeeklyWindow[]
  helperWindows: readonly WeeklyWindow[]
}

/** The reasons for which a person has to look at a booked video visit; none = it fits. */
export function whyItNoLongerFits(input: RefitInput): RefitReason[] {
  const { booked, disposition, plan, timeZone } = input
  const byVideo =
    disposition === 'video' ||
    disposition === 'video_with_gaps' ||
    (disposition === 'urgent_in_person' && input.isEarlyLook)
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

/** Inside the weekly windows, on the wall clock of the zone. No windows = any time. */
function isFree(
  from: Temporal.Instant,
  to: Temporal.Instant,
  timeZone: string,
  windows: readonly WeeklyWindow[],
): boolean {
  if (windows.length === 0) return true
  const [start, end] = [from.epochMilliseconds, to.epochMilliseconds]
  const open = windowsBetween(windows, zoneClock(timeZone, start - DAY_MS, end + DAY_MS), start, end)
  return open.some((window) => window.start <= start && end <= window.end)
}
