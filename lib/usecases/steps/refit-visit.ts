/**
 * After a change, makes a booked visit follow what is known now: plan, place and
 * packet at once, and a task for the coordinator where the visit itself no longer
 * fits. Called by everything that changes an answer, a place or a decision.
 */
import type { Db } from '#db/client.ts'
import { findNewestAssessment } from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findBookedVideoForUpdate, replanVisit } from '#db/queries/booked-visit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findPlanChoices } from '#db/queries/plan-choices.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { endTaskOf } from '#db/queries/tasks.ts'
import { keepToPlanned } from '#lib/domain/booking/refit.ts'
import { messagesForNewPacket } from '#lib/domain/messages/schedule.ts'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import { withChoices } from '#lib/domain/plan/choices.ts'
import type { Ctx } from '../context.ts'
import { fitOf } from './fit-of.ts'
import { openTask } from './open-task.ts'
import { queueMessages } from './queue-messages.ts'
import { revisePacket } from './revise-packet.ts'

/** Does nothing without a booked video visit: coming to the clinic fits whatever changes at home. */
export async function refitVisit(tx: Db, ctx: Ctx, referralId: string): Promise<void> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const booked = await findBookedVideoForUpdate(tx, clinicId, referralId)
  const assessment = await findNewestAssessment(tx, clinicId, referralId)
  if (booked === null || assessment === null) return
  const { reasons, placeState } = await fitOf(tx, clinicId, referralId, booked, assessment, assessment.plan)
  const clinic = await getClinic(tx, clinicId)
  const { screening } = assessment
  const protocol = await getProtocol(tx, clinicId, screening.protocolId, screening.protocolVersion)
  const { choices } = await findPlanChoices(tx, clinicId, referralId)
  const plan = reasons.includes('too_long')
    ? buildPlan({
        protocol,
        screening: keepToPlanned(withChoices(protocol, screening, choices), booked.plan),
        side: screening.side,
        policy: clinic.policy.visit,
      })
    : assessment.plan
  await replanVisit(tx, clinicId, booked.id, { plan, assessmentId: assessment.id, placeState, at: now })
  const packet = await revisePacket(tx, ctx, clinic, booked.id)
  if (packet?.isNew) {
    const visit = {
      id: booked.id,
      referralId,
      startsAt: booked.startsAt,
      calendarSequence: booked.calendarSequence,
    }
    await queueMessages(
      tx,
      ctx,
      messagesForNewPacket({
        visit,
        revision: packet.revision,
        policy: clinic.policy,
        zone: booked.patientTimeZone,
        now,
      }),
    )
  }

  const done = { at: now, by: ctx.actor.id, note: null }
  await endTaskOf(tx, clinicId, referralId, `replan:${booked.id}`, done)
  if (reasons.length > 0) {
    await openTask(tx, ctx, {
      referralId,
      kind: 'replan',
      dedupeKey: `replan:${booked.id}`,
      detail: { visitId: booked.id, reasons },
      dueAt: booked.startsAt,
    })
  }
  if (packet?.isNew || reasons.length > 0) {
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'visit.refitted',
      subject: booked.id,
      referralId,
      after: { packetRevision: packet?.revision ?? null, reasons },
    })
  }
}
