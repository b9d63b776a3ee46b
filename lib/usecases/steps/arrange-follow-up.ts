/**
 * After a visit: writes down how it goes on and makes it so, in the transaction that signs the record. In person it is a
 * referral of its own, because what brought the patient in has its see-by time and this has another.
 */
import type { Db } from '#db/client.ts'
import { datedAfter, effectiveDisposition, findNewestAssessment, insertAssessment } from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { setBookingStage } from '#db/queries/booking-case.ts'
import { insertFollowUp } from '#db/queries/outcomes.ts'
import { findReferralForUpdate, insertReferrals, type Referral } from '#db/queries/referrals.ts'
import { invariant } from '#lib/base/invariant.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { FollowUp, VisitOutcome } from '#lib/domain/outcomes/vocabulary.ts'
import type { Ctx } from '../context.ts'
import { assessReferral } from './assess-referral.ts'
import { endReferral } from './end-referral.ts'
import { openTask } from './open-task.ts'

export type FollowUpToArrange = {
  visitId: string
  referralId: string
  clinicianName: string
  /** The visit's day, for words. */
  visitOn: string
  outcome: VisitOutcome
  kind: FollowUp
  /** What is still to be examined: ids to keep, titles to read. */
  stations: readonly { id: string; title: string }[]
  /** In person only. */
  seeBy: Temporal.Instant | null
  because: string | null
  /** Another visit of the referral is booked: an early look came first. It stays, and so does the referral. */
  hasOtherVisit: boolean
}

/** Returns the referral that carries an in-person follow-up, or null. */
export async function arrangeFollowUp(tx: Db, ctx: Ctx, asked: FollowUpToArrange): Promise<string | null> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const { visitId, referralId, kind, because, outcome } = asked
  const referral = await findReferralForUpdate(tx, clinicId, referralId)
  invariant(referral, 'a visit belongs to a referral')
  const carriedBy = kind === 'in_person' ? await referAgain(tx, ctx, referral, asked) : null
  // The screening of the new referral may have brought the time forward; that one counts.
  const seeBy = carriedBy === null ? null : (await findReferralForUpdate(tx, clinicId, carriedBy))?.seeBy
  await insertFollowUp(tx, {
    ...{ clinicId, visitId, kind, because },
    stations: asked.stations.map(({ id }) => id),
    seeBy: seeBy ?? null,
    referralId: carriedBy,
    decidedBy: ctx.actor.id,
    decidedAt: now,
  })
  if (asked.hasOtherVisit) return carriedBy

  if (kind === 'by_video' || kind === 'call') {
    const assessment = await findNewestAssessment(tx, clinicId, referralId)
    const isDecided = assessment !== null && effectiveDisposition(assessment) !== 'ask_again'
    await setBookingStage(tx, clinicId, referralId, isDecided ? 'screened' : 'triaged')
    if (isDecided) await ctx.queue.enqueueSeeByWatch(tx, { clinicId, referralId })
    await openTask(tx, ctx, {
      referralId,
      kind: 'after_visit',
      dedupeKey: `after_visit:${visitId}`,
      detail: { visitId, outcome, next: kind },
      dueAt: referral.seeBy,
    })
    return null
  }
  const closedBecause =
    carriedBy === null
      ? `After the visit of ${asked.visitOn}, no follow-up: ${because ?? ''}`
      : `After the visit of ${asked.visitOn}: to be seen at the clinic, as a referral of its own`
  await endReferral(tx, ctx, referral, closedBecause)
  return carriedBy
}

/** The patient, the condition and the side stay; answers don't: what is asked at home decides nothing at the clinic. */
async function referAgain(tx: Db, ctx: Ctx, from: Referral, asked: FollowUpToArrange): Promise<string> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const id = ctx.newId('ref')
  const titles = asked.stations.map(({ title }) => title).join('; ')
  const reason = [
    `In-person follow-up of the visit of ${asked.visitOn}.`,
    ...(titles === '' ? [] : [`Still to be examined: ${titles}.`]),
    ...(asked.because === null ? [] : [asked.because]),
  ].join(' ')
  const { patientId, icd10, conditionText, protocolId, protocolVersion, conditionId, side, imageReceived } = from
  await insertReferrals(tx, [
    {
      ...{ clinicId, id, patientId, icd10, conditionText, protocolId, protocolVersion, conditionId, side },
      ...{ imageReceived, reason },
      source: 'follow_up',
      fingerprint: ctx.secrets.hashText(JSON.stringify(['follow_up', clinicId, asked.visitId])),
      externalId: null,
      receivedAt: now,
      referrerName: asked.clinicianName,
      referrerPhone: null,
      priority: 'routine',
      stage: 'triaged',
      seeBy: asked.seeBy,
      createdAt: now,
    },
  ])
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'referral.added',
    subject: id,
    referralId: id,
    after: { source: 'follow_up', visitId: asked.visitId, patientId },
  })
  const screened = await assessReferral(tx, ctx, id)
  invariant(screened, 'a follow-up is triaged as its visit was')
  if (['emergency_advice', 'urgent_in_person', 'in_person'].includes(screened.disposition)) return id
  // The engine would ask about the home; a clinician has seen the patient and decided.
  const overruled = { to: 'in_person' as const, because: reason, by: ctx.actor.id }
  await insertAssessment(tx, clinicId, id, {
    ...screened,
    id: ctx.newId('asm'),
    at: datedAfter(screened, now),
    overruled,
  })
  await setBookingStage(tx, clinicId, id, 'screened')
  await ctx.queue.enqueueSeeByWatch(tx, { clinicId, referralId: id })
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'screening.overruled',
    subject: id,
    referralId: id,
    before: { disposition: screened.disposition },
    after: { disposition: 'in_person', because: reason },
  })
  return id
}
