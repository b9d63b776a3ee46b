/** The first look at what was learned: how many visits, and which ways the lead should look at. */
import { getClinic } from '#db/queries/clinics.ts'
import { countVisits, type VisitTotals } from '#db/queries/learning.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Period } from '#lib/domain/learning/period.ts'
import type { Ctx } from './context.ts'
import { learningScope } from './steps/learning-scope.ts'
import { type NamedSuggestion, readSuggestions } from './steps/read-suggestions.ts'

export type LearningOverview = {
  period: Period
  timeZone: string
  totals: VisitTotals
  suggestions: NamedSuggestion[]
}
export type ReadLearningOverviewError = { code: 'not_allowed' }

/** Of the usual half-year, everybody's. */
export async function readLearningOverview(ctx: Ctx): Promise<Result<LearningOverview, ReadLearningOverviewError>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'learning.read', { clinicId })) return err({ code: 'not_allowed' })
  const clinic = await getClinic(ctx.db, clinicId)
  const everything = { from: null, to: null, clinicianId: null, conditionId: null }
  const { scope, period } = learningScope(clinic, everything, ctx.now())
  const [totals, suggestions] = await Promise.all([countVisits(ctx.db, scope), readSuggestions(ctx.db, clinic, scope)])
  return ok({ period, timeZone: clinic.timeZone, totals, suggestions })
}
