/** Reads one referral as booking sees it (`BookingCase`), and says on the referral how far booking has come. */
import { and, desc, eq, inArray, isNull, sql } from 'drizzle-orm'
import type { BookingCase, Claim } from '#lib/domain/booking/booking-case.ts'
import type { WeeklyWindow } from '#lib/domain/calendar/weekly-window.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import type { Db } from '../client.ts'
import { prepared } from '../prepared.ts'
import { assessments, homeChecks, patients, referrals, tasks, visits } from '../schema/index.ts'

/** Null when the clinic has no such referral. With `lock`, no other command on the same referral runs beside this one. */
export async function findBookingCase(
  db: Db,
  clinicId: string,
  referralId: string,
  options: { lock: boolean },
): Promise<BookingCase | null> {
  const which = { clinicId, referralId }
  // Sent together; on a server they travel in one go, and what is read after the lock is read behind it.
  const [, [row], claims] = await Promise.all([
    options.lock ? lockReferral(db, which) : null,
    selectCase(db, which),
    selectClaims(db, which) as Promise<Claim[]>,
  ])
  if (!row) return null
  const { patient, home, assessment, ...referral } = row
  const [inPerson, video] = (['in_person', 'video'] as const).map((mode) =>
    claims.find((claim) => claim.status === 'booked' && claim.mode === mode),
  )
  return {
    ...referral,
    clinicId,
    referralId,
    patient: { ...patient, language: patient.language as Locale },
    home: home && {
      ...home,
      patientWindows: home.patientWindows as WeeklyWindow[],
      helperWindows: home.helperWindows as WeeklyWindow[],
    },
    assessment: assessment
      ? {
          id: assessment.id,
          disposition: assessment.overruledTo ?? assessment.disposition,
          earlyLook: assessment.earlyLook,
          plan: assessment.plan as ExamPlan | null,
        }
      : null,
    held: claims.find((claim) => claim.status === 'held') ?? null,
    booked: inPerson ?? video ?? null,
    earlyLook: inPerson && video ? video : null,
  }
}

const { placeholder } = sql
const ofReferral = and(eq(referrals.clinicId, placeholder('clinicId')), eq(referrals.id, placeholder('referralId')))

const lockReferral = prepared('lock_referral', (db) =>
  db.select({ id: referrals.id }).from(referrals).where(ofReferral).for('no key update'),
)

const selectCase = prepared('booking_case', (db) => {
  const emergency = db
    .select({ id: tasks.id })
    .from(tasks)
    .where(
      and(
        eq(tasks.clinicId, referrals.clinicId),
        eq(tasks.referralId, referrals.id),
        eq(tasks.kind, 'emergency_call'),
        isNull(tasks.doneAt),
      ),
    )
  const newest = db
    .select({
      id: assessments.id,
      disposition: assessments.disposition,
      overruledTo: assessments.overruledTo,
      earlyLook: sql<boolean>`coalesce((${assessments.screening} ->> 'earlyLook')::boolean, false)`.as('early_look'),
      plan: assessments.plan,
    })
    .from(assessments)
    .where(and(eq(assessments.clinicId, referrals.clinicId), eq(assessments.referralId, referrals.id)))
    .orderBy(desc(assessments.at), desc(assessments.id))
    .limit(1)
    .as('newest')
  return db
    .select({
      stage: referrals.stage,
      seeBy: referrals.seeBy,
      priority: referrals.priority,
      isStopped: sql<boolean>`${referrals.isStopped} or exists ${emergency}`,
      patient: {
        id: patients.id,
        givenName: patients.givenName,
        familyName: patients.familyName,
        language: patients.language,
        interpreterLanguage: patients.interpreterLanguage,
        timeZone: patients.timeZone,
        preferredSiteId: patients.preferredSiteId,
        state: patients.state,
      },
      home: {
        placeState: homeChecks.placeState,
        timeZone: homeChecks.timeZone,
        patientWindows: homeChecks.patientWindows,
        helperWindows: homeChecks.helperWindows,
      },
      assessment: {
        id: newest.id,
        disposition: newest.disposition,
        overruledTo: newest.overruledTo,
        earlyLook: newest.earlyLook,
        plan: newest.plan,
      },
    })
    .from(referrals)
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .leftJoin(homeChecks, and(eq(homeChecks.clinicId, referrals.clinicId), eq(homeChecks.referralId, referrals.id)))
    .leftJoinLateral(newest, sql`true`)
    .where(ofReferral)
})

/** Says on the referral that a visit is booked, or that it no longer is. */
export async function setBookingStage(
  db: Db,
  clinicId: string,
  referralId: string,
  stage: 'triaged' | 'screened' | 'booked',
): Promise<void> {
  await updateStage(db, { clinicId, referralId, stage })
}

const updateStage = prepared('set_booking_stage', (db) =>
  db
    .update(referrals)
    .set({ stage: sql`${placeholder('stage')}` })
    .where(ofReferral),
)

const selectClaims = prepared('claims_of_referral', (db) =>
  db
    .select({
      visitId: visits.id,
      status: visits.status,
      mode: visits.mode,
      clinicianId: visits.clinicianId,
      sessionId: visits.sessionId,
      interpreterId: visits.interpreterId,
      roomId: visits.roomId,
      startsAt: visits.startsAt,
      endsAt: visits.endsAt,
      madeAt: visits.createdAt,
      holdExpiresAt: visits.holdExpiresAt,
      released: visits.released,
      releasedBecause: visits.releasedBecause,
      patientTimeZone: visits.patientTimeZone,
      calendarSequence: visits.calendarSequence,
      version: visits.version,
    })
    .from(visits)
    .where(
      and(
        eq(visits.clinicId, placeholder('clinicId')),
        eq(visits.referralId, placeholder('referralId')),
        inArray(visits.status, ['held', 'booked']),
        eq(visits.isOffer, false),
      ),
    ),
)
