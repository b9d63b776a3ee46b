/** One referral as booking sees it: who comes, from where, what was decided, and the claims on time it already has. */
import type { Temporal } from '#lib/base/time.ts'
import type { RelaxationKind } from '../calendar/demand.ts'
import type { VisitMode } from '../calendar/supply.ts'
import type { WeeklyWindow } from '../calendar/weekly-window.ts'
import type { Priority, Stage } from '../desk/stages.ts'
import type { ExamPlan } from '../plan/exam-plan.ts'
import type { Locale } from '../protocol/schema.ts'
import type { Disposition } from '../screening/screening.ts'

/** A start that is held or booked. */
export type Claim = {
  visitId: string
  status: 'held' | 'booked'
  mode: VisitMode
  clinicianId: string
  sessionId: string
  interpreterId: string | null
  roomId: string | null
  startsAt: Temporal.Instant
  endsAt: Temporal.Instant
  /** When it was first written: a hold keeps the notice period that it had then. */
  madeAt: Temporal.Instant
  holdExpiresAt: Temporal.Instant | null
  /** What was set aside for it, and why. */
  released: readonly RelaxationKind[]
  releasedBecause: string | null
  patientTimeZone: string
  calendarSequence: number
  version: number
}

export type BookingCase = {
  clinicId: string
  referralId: string
  stage: Stage
  seeBy: Temporal.Instant | null
  priority: Priority
  /** An emergency flag that nobody has acknowledged. */
  isStopped: boolean
  patient: {
    id: string
    givenName: string
    familyName: string
    language: Locale
    interpreterLanguage: string | null
    timeZone: string | null
    preferredSiteId: string | null
    /** US state in which they live. */
    state: string | null
  }
  home: {
    placeState: string | null
    timeZone: string | null
    patientWindows: readonly WeeklyWindow[]
    helperWindows: readonly WeeklyWindow[]
  } | null
  assessment: {
    id: string
    /** A person's answer where a person overruled. */
    disposition: Disposition
    earlyLook: boolean
    plan: ExamPlan | null
  } | null
  held: Claim | null
  /** The visit that counts: the one in person where an early look stands beside it. */
  booked: Claim | null
  /** A sooner video look beside the visit in person. */
  earlyLook: Claim | null
}
