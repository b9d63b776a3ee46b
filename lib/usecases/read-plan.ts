/** The exam of one visit as a clinician may change it: every station with its ways, and what a change would mean. */
import { z } from 'zod'
import { findNewestAssessment } from '#db/queries/assessments.ts'
import { findVisitToShow } from '#db/queries/board.ts'
import { findBookedVideo } from '#db/queries/booked-visit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findPlanChoices } from '#db/queries/plan-choices.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import {
  type Choices,
  type RefusedChoice,
  refuseChoices,
  type StationOption,
  stationOptions,
  tidyChoices,
  withChoices,
} from '#lib/domain/plan/choices.ts'
import { type Consequences, consequencesOf } from '#lib/domain/plan/consequences.ts'
import type { Ctx } from './context.ts'
import { fitOf } from './steps/fit-of.ts'

/** By station: a way, or null = left out. */
export const choicesInput = z.record(z.string().max(100), z.string().max(100).nullable())

export const readPlanInput = z.object({
  visitId: z.string(),
  /** What would be changed; null = nothing yet. */
  asked: choicesInput.nullable(),
})
export type ReadPlanInput = z.output<typeof readPlanInput>

export type PlanView = {
  visitId: string
  /** The screening that the options follow from: a newer one must be read first. */
  assessmentId: string
  patientName: string
  startsAt: string
  timeZone: string
  /** Each station with the way that is wanted now: what is planned, or chosen and waiting for a longer start. Null = not done. */
  stations: (StationOption & { wanted: string | null; isChosen: boolean })[]
  last: { because: string; byName: string; at: string } | null
  packetRevision: number | null
  preview: { choices: Choices; refused: RefusedChoice[]; consequences: Consequences } | null
}
export type ReadPlanError =
  | { code: 'visit_not_found' }
  /** Only a booked visit by video has an exam to change. */
  | { code: 'no_exam' }

export async function readPlan(ctx: Ctx, { visitId, asked }: ReadPlanInput): Promise<Result<PlanView, ReadPlanError>> {
  const { db } = ctx
  const { clinicId } = ctx.actor
  const visit = await findVisitToShow(db, clinicId, visitId)
  if (!visit || !may(ctx.actor, 'plan.adjust', { clinicId, referralId: visit.referralId }))
    return err({ code: 'visit_not_found' })
  const { referralId } = visit
  const [booked, assessment, kept, clinic] = await Promise.all([
    findBookedVideo(db, clinicId, referralId),
    findNewestAssessment(db, clinicId, referralId),
    findPlanChoices(db, clinicId, referralId),
    getClinic(db, clinicId),
  ])
  if (!booked || booked.id !== visitId || !assessment) return err({ code: 'no_exam' })
  const { screening } = assessment
  const protocol = await getProtocol(db, clinicId, screening.protocolId, screening.protocolVersion)
  const options = stationOptions(protocol, screening.conditionId, screening.facts)
  const done = new Map(booked.plan?.steps.map((step) => [step.stationId, step.wayId]))

  let preview: PlanView['preview'] = null
  if (asked !== null) {
    const choices = tidyChoices({ ...kept.choices, ...asked }, options)
    const plan = buildPlan({
      protocol,
      screening: withChoices(protocol, screening, choices),
      side: screening.side,
      policy: clinic.policy.visit,
    })
    const chosen = plan.steps.length > 0 ? plan : null
    const { reasons } = await fitOf(db, clinicId, referralId, booked, assessment, chosen)
    const bookedMin = booked.startsAt.until(booked.endsAt).total('minutes')
    preview = {
      choices: asked,
      refused: refuseChoices(asked, options),
      consequences: consequencesOf(booked.plan, chosen, bookedMin, reasons),
    }
  }
  return ok({
    visitId,
    assessmentId: assessment.id,
    patientName: visit.patientName,
    startsAt: visit.startsAt.toString(),
    timeZone: clinic.timeZone,
    stations: options.map((option) => ({
      ...option,
      wanted: done.get(option.stationId) ?? waiting(option, kept.choices[option.stationId] ?? null),
      isChosen: option.stationId in kept.choices,
    })),
    last: kept.last && { ...kept.last, at: kept.last.at.toString() },
    packetRevision: visit.packetRevision,
    preview,
  })
}

/** A chosen way that is still possible, though there was no time for it. */
function waiting({ isSafe, ways }: StationOption, chosen: string | null): string | null {
  return isSafe && ways.some(({ wayId, can }) => wayId === chosen && can === 'yes') ? chosen : null
}
