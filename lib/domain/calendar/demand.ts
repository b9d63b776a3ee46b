/**
 * What a visit asks of the calendar, and what the calendar answers. Instants
 * are epoch milliseconds. A wish ranks; a need excludes.
 */
import type { VisitMode } from './supply.ts'
import type { WeeklyWindow } from './weekly-window.ts'
import type { WorkingHours } from './working-time.ts'

/** A wish ranks first what has it; with `only`, nothing else is offered. */
export type ClinicianWish = { clinicianId: string; only: boolean }
/** HH:MM to HH:MM on the patient's wall. A start in it counts, wherever the visit ends. */
export type DayPartWish = { from: string; to: string; only: boolean }

/** What a visit needs. Instants are epoch milliseconds. */
export type Demand = {
  /** The visit itself, without buffers. */
  minutes: number
  mode: VisitMode
  now: number
  notBefore: number
  /** The visit must start at or before this; null = no limit. */
  seeBy: number | null
  /** How far ahead to look, from the later of `now` and `notBefore`. */
  horizonDays: number
  /** Whose other visits must not overlap; null = nobody's. */
  patientId: string | null
  patientTimeZone: string
  /** Empty = any time. */
  patientWindows: readonly WeeklyWindow[]
  /** In the patient's zone; empty = any time. Counts for the helper's minutes alone. */
  helperWindows: readonly WeeklyWindow[]
  /** Minutes of the visit between which the helper is needed; null = no helper. */
  helper: { fromMin: number; toMin: number } | null
  /** Language that must be interpreted unless the clinician speaks it (BCP 47); null = none. */
  interpreterLanguage: string | null
  /** Where the patient will be in a video visit. Not known = no video start can be offered. */
  placeState: string | null
  /** Nearest first; empty = any site. Read for visits in person. */
  siteIds: readonly string[]
  clinician: ClinicianWish | null
  dayPart: DayPartWish | null
  /** Starts nearer than a session's notice period are offered too. */
  anyNotice: boolean
  /** In which hours the time is counted until kept starts come free; null = this visit may have them at once. */
  keptBy: WorkingHours | null
  /** The conditions that somebody may set aside for this visit: only these are ever named. */
  releasable: readonly RelaxationKind[]
  limit: number
  /** At most so many starts of one day of the patient's, so that a list spreads over days; null = as many as fit. */
  perDay: number | null
}

export type WhyRanked =
  | { code: 'before_see_by'; hoursLeft: number }
  | { code: 'after_see_by'; hoursLate: number }
  | { code: 'wished_clinician' | 'another_clinician' }
  | { code: 'site_choice'; nth: number }
  | { code: 'wished_day_part' | 'another_day_part' }
  | { code: 'clinician_speaks_language' }
  /** In time that is still kept for urgent visits. */
  | { code: 'urgent_start' }
  /** Nearer than the session's notice period. */
  | { code: 'short_notice' }
  | { code: 'soonest' }

/** A start that can be booked. */
export type Start = {
  clinicianId: string
  sessionId: string
  mode: VisitMode
  start: number
  end: number
  /** The clinician's time, buffers included. */
  busyFrom: number
  busyTo: number
  siteId: string | null
  roomId: string | null
  interpreterId: string | null
  /** 1 = best. */
  rank: number
  why: WhyRanked[]
}

/** In order of how little they ask of people; the first of equally early ones is named. */
export const RELAXATIONS = [
  'say_where_patient_is',
  'another_clinician',
  'another_day_part',
  'another_site',
  'short_notice',
  'other_helper_times',
  'other_patient_times',
  'without_interpreter',
  'in_person',
  'urgent_starts',
  'longer_horizon',
  'after_see_by',
] as const
export type RelaxationKind = (typeof RELAXATIONS)[number]
export type Relaxation = { kind: RelaxationKind; start: Start }

export type SearchAnswer = { starts: Start[]; relaxation: Relaxation | null }

export type BookRefusal =
  | 'no_such_session'
  | 'wrong_mode'
  | 'wrong_clinician'
  | 'wrong_site'
  | 'in_the_past'
  | 'notice_too_short'
  | 'too_early'
  | 'beyond_horizon'
  | 'after_see_by'
  | 'outside_session'
  | 'off_grain'
  /** In the minutes that the session keeps for urgent visits. */
  | 'kept_for_urgent'
  | 'place_not_known'
  | 'not_licensed'
  | 'clinician_busy'
  | 'patient_busy'
  | 'outside_patient_times'
  | 'outside_helper_times'
  | 'outside_day_part'
  | 'no_room'
  | 'no_interpreter'

/** A start asked for by name. Null room or interpreter = any that is free. */
export type AskedStart = { sessionId: string; start: number; roomId: string | null; interpreterId: string | null }
