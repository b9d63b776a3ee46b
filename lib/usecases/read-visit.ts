/** One visit for staff: readiness, plan in order, place and contacts, and what changed. */
import { z } from 'zod'
import { findVisitToShow } from '#db/queries/board.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { listMarks } from '#db/queries/readiness.ts'
import { listNewestRehearsals } from '#db/queries/rehearsals.ts'
import { listOpenTasksOf } from '#db/queries/tasks.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { TaskKind } from '#lib/domain/desk/stages.ts'
import { geometriesOf, type SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import { type BoardVisit, toBoardVisit } from '#lib/domain/readiness/board-visit.ts'
import type { Advice } from '#lib/domain/rehearsal/advice.ts'
import type { Readings } from '#lib/domain/rehearsal/readings.ts'
import type { Ctx } from './context.ts'

export const readVisitInput = z.object({ visitId: z.string() })
export type ReadVisitInput = z.output<typeof readVisitInput>

export type VisitView = {
  visit: BoardVisit
  plan: ExamPlan | null
  protocol: Protocol
  /** Each set-up of the plan once, in the order of the exam. */
  geometries: SetUpGeometry[]
  clinicTimeZone: string
  /** The newest try of each set-up, newest first. `at` is ISO. */
  rehearsals: (Pick<Readings, 'setUpId' | 'frame' | 'line'> & { at: string; advice: Advice[] })[]
  tasks: { id: string; kind: TaskKind; detail: unknown; openedAt: string }[]
}
export type ReadVisitError = { code: 'visit_not_found' }

export async function readVisit(ctx: Ctx, { visitId }: ReadVisitInput): Promise<Result<VisitView, ReadVisitError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const stored = await findVisitToShow(ctx.db, clinicId, visitId)
  if (!stored || !may(ctx.actor, 'visit.read', { clinicId, referralId: stored.referralId }))
    return err({ code: 'visit_not_found' })
  const { timeZone, policy } = await getClinic(ctx.db, clinicId)
  const protocol = await getProtocol(ctx.db, clinicId, stored.protocolId, stored.protocolVersion)
  const marks = await listMarks(ctx.db, clinicId, [visitId])
  const open = await listOpenTasksOf(ctx.db, clinicId, stored.referralId)
  const rehearsals = await listNewestRehearsals(ctx.db, clinicId, stored.referralId)
  return ok({
    visit: toBoardVisit(stored, marks.get(visitId) ?? [], protocol, policy.readiness, now),
    plan: stored.plan,
    protocol,
    geometries: geometriesOf(protocol, stored.plan?.steps.map(({ setUpId }) => setUpId) ?? [], {
      facts: stored.screening?.facts ?? {},
      side: stored.side,
    }),
    clinicTimeZone: timeZone,
    rehearsals: rehearsals.map(({ at, readings: { setUpId, frame, line }, advice }) => ({
      setUpId,
      frame,
      line,
      advice,
      at: at.toString(),
    })),
    tasks: open.map(({ id, kind, detail, openedAt }) => ({ id, kind, detail, openedAt: openedAt.toString() })),
  })
}
