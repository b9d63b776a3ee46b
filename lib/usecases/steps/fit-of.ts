/** Does a booked video visit fit what is known now, with this plan? Read for a preview and for the refit alike. */
import type { Db } from '#db/client.ts'
import { type Assessment, effectiveDisposition } from '#db/queries/assessments.ts'
import { type findBookedVideoForUpdate, hasInPersonVisit, hasLicence } from '#db/queries/booked-visit.ts'
import { findHomeCheck } from '#db/queries/home-checks.ts'
import { type RefitReason, whyItNoLongerFits } from '#lib/domain/booking/refit.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'

type Booked = NonNullable<Awaited<ReturnType<typeof findBookedVideoForUpdate>>>

export async function fitOf(
  db: Db,
  clinicId: string,
  referralId: string,
  booked: Booked,
  assessment: Assessment,
  plan: ExamPlan | null,
): Promise<{ reasons: RefitReason[]; placeState: string | null }> {
  const home = await findHomeCheck(db, clinicId, referralId)
  const placeState = home?.placeState ?? booked.placeState
  const day = booked.startsAt.toZonedDateTimeISO(booked.patientTimeZone).toPlainDate().toString()
  const reasons = whyItNoLongerFits({
    booked,
    disposition: effectiveDisposition(assessment),
    plan,
    hasLicence: placeState !== null && (await hasLicence(db, clinicId, booked.clinicianId, placeState, day)),
    isEarlyLook: assessment.screening.earlyLook && (await hasInPersonVisit(db, clinicId, referralId)),
    timeZone: home?.timeZone ?? booked.patientTimeZone,
    patientWindows: home?.patientWindows ?? [],
    helperWindows: home?.helperWindows ?? [],
  })
  return { reasons, placeState }
}
