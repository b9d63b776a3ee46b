/**
 * A clinician changes the exam of a booked visit: stations added or left out, ways changed. The order is worked out anew, the
 * packet follows at once, and the choice is kept beside the engine's answer, with who made it and why. Where safety closes a
 * station nobody can choose it.
 */
import { z } from 'zod'
import { datedAfter, findNewestAssessment, findReferralToScreen, insertAssessment } from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { findBookedVideoForUpdate } from '#db/queries/booked-visit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findPlanChoices, insertPlanChoices } from '#db/queries/plan-choices.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { findReferralOfVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import {
  type RefusedChoice,
  refuseChoices,
  stationOptions,
  tidyChoices,
  withChoices,
} from '#lib/domain/plan/choices.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { choicesInput } from './read-plan.ts'
import { refitVisit } from './steps/refit-visit.ts'

export const adjustPlanInput = z.object({
  key: z.string().min(8),
  visitId: z.string(),
  /** The screening that was on the page. */
  assessmentId: z.string(),
  /** As the page showed them: what says the same as the engine is no choice, and what is not named stays as it was chosen. */
  choices: choicesInput,
  because: z.string().trim().min(5).max(1000),
})
export type AdjustPlanInput = z.output<typeof adjustPlanInput>

export type AdjustedPlan = { visitId: string }
type Refusal =
  | { code: 'visit_not_found' }
  /** No booked visit by video. */
  | { code: 'no_exam' }
  /** Answers have changed since the page was read: look again. */
  | { code: 'screened_again' }
  | { code: 'choice_refused'; refused: RefusedChoice[] }
  | { code: 'nothing_changed' }
  /** An exam without a station is no visit by video: move it to in person, or cancel it. */
  | { code: 'nothing_left' }
export type AdjustPlanError = Refusal | Repeated

export async function adjustPlan(ctx: Ctx, input: AdjustPlanInput): Promise<Result<AdjustedPlan, AdjustPlanError>> {
  const now = ctx.now()
  const { key, visitId, assessmentId, because } = input
  const { clinicId } = ctx.actor
  const whose = await findReferralOfVisit(ctx.db, clinicId, visitId)
  const referralId = whose?.referralId ?? ''
  if (!whose || !may(ctx.actor, 'plan.adjust', { clinicId, ...whose })) return err({ code: 'visit_not_found' })

  return once<AdjustedPlan, Refusal>(ctx, { key, kind: 'adjust_plan' }, async (tx) => {
    const referral = await findReferralToScreen(tx, clinicId, referralId)
    const newest = await findNewestAssessment(tx, clinicId, referralId)
    const booked = await findBookedVideoForUpdate(tx, clinicId, referralId)
    if (!referral || !newest || booked?.id !== visitId) return err({ code: 'no_exam' })
    if (newest.id !== assessmentId) return err({ code: 'screened_again' })

    const { screening } = newest
    const protocol = await getProtocol(tx, clinicId, screening.protocolId, screening.protocolVersion)
    const options = stationOptions(protocol, screening.conditionId, screening.facts)
    const refused = refuseChoices(input.choices, options)
    if (refused.length > 0) return err({ code: 'choice_refused', refused })
    const { choices: before } = await findPlanChoices(tx, clinicId, referralId)
    const choices = tidyChoices({ ...before, ...input.choices }, options)
    if (JSON.stringify(choices) === JSON.stringify(before)) return err({ code: 'nothing_changed' })
    const { policy } = await getClinic(tx, clinicId)
    const plan = buildPlan({
      protocol,
      screening: withChoices(protocol, screening, choices),
      side: screening.side,
      policy: policy.visit,
    })
    if (plan.steps.length === 0) return err({ code: 'nothing_left' })

    await insertPlanChoices(tx, {
      clinicId,
      id: ctx.newId('pch'),
      referralId,
      choices,
      because,
      by: ctx.actor.id,
      at: now,
    })
    // The screening stays the engine's; what will be done stands beside it, for every search, move and packet from now on.
    await insertAssessment(tx, clinicId, referralId, {
      ...newest,
      id: ctx.newId('asm'),
      at: datedAfter(newest, now),
      plan,
    })
    await refitVisit(tx, ctx, referralId)
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'plan.adjusted',
      subject: visitId,
      referralId,
      before: { choices: before },
      after: { choices, because },
    })
    return ok({ visitId })
  })
}
