/**
 * Screens a referral again, from what is known now, and writes the answer down:
 * the engine's disposition, its plan, a see-by time that can only come nearer,
 * and the tasks that a newly raised red flag opens.
 *
 * A person's overruling stays in force only while the engine keeps saying what
 * it said when it was overruled; once the answer changes, a person looks again.
 */

import type { Db } from '#db/client.ts'
import { asAnswers, listAnswers } from '#db/queries/answers.ts'
import {
  type Assessment,
  datedAfter,
  effectiveDisposition,
  findNewestAssessment,
  findReferralToScreen,
  insertAssessment,
  settleReferral,
} from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findPatient } from '#db/queries/patients.ts'
import { findPlanChoices } from '#db/queries/plan-choices.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import { seeByLimits } from '#lib/domain/desk/see-by.ts'
import type { Stage } from '#lib/domain/desk/stages.ts'
import { messagesForHelp } from '#lib/domain/messages/schedule.ts'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import { withChoices } from '#lib/domain/plan/choices.ts'
import { factsOf } from '#lib/domain/screening/facts-of.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import type { Screening } from '#lib/domain/screening/screening.ts'

import type { Ctx } from '../context.ts'
import { openTask } from './open-task.ts'
import { queueMessages } from './queue-messages.ts'

/** Null while the referral is not triaged: there is nothing to screen against. */
export async function assessReferral(tx: Db, ctx: Ctx, referralId: string): Promise<Assessment | null> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const referral = await findReferralToScreen(tx, clinicId, referralId)
  invariant(referral, 'a referral that is screened is there')
  const { protocolId, protocolVersion, conditionId, side, seeBy } = referral
  if (protocolId === null || protocolVersion === null || conditionId === null || side === null || seeBy === null)
    return null

  const clinic = await getClinic(tx, clinicId)
  const protocol = await getProtocol(tx, clinicId, protocolId, protocolVersion)
  const rows = await listAnswers(tx, clinicId, referralId)
  const answers = asAnswers(rows)
  const before = await findNewestAssessment(tx, clinicId, referralId)

  const facts = factsOf(answers, referral.birthDate, now.toZonedDateTimeISO(clinic.timeZone).toPlainDate())
  const { policy } = clinic
  const screening = screen({ protocol, conditionId, side, facts, policy: policy.screening })
  const { choices } = await findPlanChoices(tx, clinicId, referralId)
  const chosen = withChoices(protocol, screening, choices)
  const plan = buildPlan({ protocol, screening: chosen, side, policy: policy.visit })
  const assessment: Assessment = {
    id: ctx.newId('asm'),
    at: datedAfter(before, now),
    disposition: screening.disposition,
    screening,
    plan: plan.steps.length > 0 ? plan : null,
    overruled: before !== null && saysTheSame(before.screening, screening) ? before.overruled : null,
  }
  await insertAssessment(tx, clinicId, referralId, assessment)

  const raised = newlyRaised(before?.screening ?? null, screening)
  const isEmergency = raised.some((flag) => flag.level === 'emergency')
  const [limit] = seeByLimits({
    priorityLimit: policy.seeBy[referral.priority],
    receivedAt: referral.receivedAt,
    protocol,
    conditionId,
    facts,
    knownSince: new Map(rows.map(({ factId, answeredAt }) => [factId, answeredAt])),
    clinic: { ...policy, ...clinic },
  })
  const stage = stageAfter(referral.stage, assessment)
  if (stage === 'screened') await ctx.queue.enqueueSeeByWatch(tx, { clinicId, referralId })
  await settleReferral(tx, clinicId, referralId, {
    stage,
    seeBy: Temporal.Instant.compare(limit.at, seeBy) < 0 ? limit.at : seeBy,
    isStopped: referral.isStopped || isEmergency,
  })
  // Whoever wrote it down, patient or staff: a sign that is only on a form moves nobody, and the next to act may be another.
  for (const { flagId, level } of raised) {
    if (level === 'in_person') continue
    const kind = level === 'emergency' ? 'emergency_call' : 'urgent_flag'
    await openTask(tx, ctx, {
      referralId,
      kind,
      dedupeKey: `${kind}:${flagId}`,
      detail: { flagId },
      dueAt: level === 'emergency' ? now : limit.at,
    })
  }
  // The page has told the patient already, but a page is closed in a moment: the same advice follows in writing, whatever
  // the hour. Where staff raise the flag the patient is on the line or is called next; a mail would only be read after.
  if (isEmergency && ctx.actor.kind === 'patient') {
    const patient = await findPatient(tx, clinicId, referral.patientId)
    if (patient?.email) await queueMessages(tx, ctx, messagesForHelp({ referralId, assessmentId: assessment.id, now }))
  }
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'referral.screened',
    subject: assessment.id,
    referralId,
    before: before && { disposition: before.disposition, overruledTo: before.overruled?.to ?? null },
    after: { disposition: screening.disposition, rule: screening.rule, because: screening.because },
  })
  return assessment
}

function newlyRaised(before: Screening | null, after: Screening) {
  const known = new Set(before?.raised.map((flag) => flag.flagId) ?? [])
  return after.raised.filter((flag) => !known.has(flag.flagId))
}

function saysTheSame(a: Screening, b: Screening): boolean {
  const key = ({ disposition, rule, because, conditionId }: Screening) =>
    JSON.stringify([disposition, rule, because, conditionId])
  return key(a) === key(b)
}

/** A decision can be lost again: what was screened goes back to asking when the answers no longer carry it. */
function stageAfter(stage: Stage, assessment: Assessment): Stage {
  if (stage === 'booked' || stage === 'closed') return stage
  return effectiveDisposition(assessment) === 'ask_again' ? 'triaged' : 'screened'
}
