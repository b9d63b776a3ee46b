/** One topic of what the clinic learns: its tables for a period, as somebody asked for them. */
import { z } from 'zod'
import { getClinic } from '#db/queries/clinics.ts'
import { listCurrentProtocols } from '#db/queries/protocols.ts'
import { listActiveClinicians } from '#db/queries/supply.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { PeriodFault } from '#lib/domain/learning/period.ts'
import type { LearningTable } from '#lib/domain/learning/report.ts'
import { TOPIC_HAS_CONDITION, TOPICS } from '#lib/domain/learning/topics.ts'
import type { Ctx } from './context.ts'
import { learningScope } from './steps/learning-scope.ts'
import { TABLES_OF } from './steps/learning-tables.ts'

const text = z.string().max(100).nullable().catch(null).default(null)
/** Anything that isn't one of ours counts as not asked for: an address may be typed. */
export const learningFilters = z.object({ from: text, to: text, clinician: text, condition: text })
export type LearningFilters = z.output<typeof learningFilters>

export const readLearningInput = learningFilters.extend({ topic: z.enum(TOPICS) })
export type ReadLearningInput = z.output<typeof readLearningInput>

type Choice = { id: string; name: string }
export type Learning = {
  /** As it was asked for, or the usual half-year. Both days are part of it. */
  period: { from: string; to: string }
  fault: PeriodFault | null
  clinicianId: string | null
  conditionId: string | null
  clinicians: Choice[]
  /** Empty where a condition means nothing. */
  conditions: Choice[]
  smallBelow: number
  tables: LearningTable[]
}
export type ReadLearningError = { code: 'not_allowed' }

export async function readLearning(ctx: Ctx, input: ReadLearningInput): Promise<Result<Learning, ReadLearningError>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'learning.read', { clinicId })) return err({ code: 'not_allowed' })
  const { db } = ctx
  const { topic } = input
  const clinic = await getClinic(db, clinicId)
  const [clinicians, protocols] = await Promise.all([
    listActiveClinicians(db, clinicId),
    TOPIC_HAS_CONDITION[topic] ? listCurrentProtocols(db, clinicId) : [],
  ])
  const conditions = protocols.flatMap((protocol) => protocol.conditions.map(({ id, title }) => ({ id, name: title })))
  const known = (choices: readonly Choice[], id: string | null) => choices.find((each) => each.id === id)?.id ?? null
  const clinicianId = known(clinicians, input.clinician)
  const conditionId = known(conditions, input.condition)
  const { scope, period, fault } = learningScope(clinic, { ...input, clinicianId, conditionId }, ctx.now())
  return ok({
    period,
    fault,
    clinicianId,
    conditionId,
    clinicians: clinicians.map(({ id, name }) => ({ id, name })),
    conditions,
    smallBelow: clinic.policy.learning.smallBelow,
    tables: await TABLES_OF[topic]({ db, scope, days: period, protocols }),
  })
}
