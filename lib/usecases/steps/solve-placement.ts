/** Places visits at the least harm, stage by stage: what a graver level came to is a limit for every level after it. */
import { firstFit } from '#lib/domain/replacement/first-fit.ts'
import { keepCheapest } from '#lib/domain/replacement/keep-cheapest.ts'
import {
  nextStage,
  type Placement,
  placementOf,
  toProgram,
  type VisitToPlace,
} from '#lib/domain/replacement/placement.ts'
import { isProven, type ProgramAnswer, type SolverPort } from '#lib/domain/replacement/program.ts'

export type Solved = {
  /** In the order of the visits. */
  placement: Placement
  /** Nothing costs less. Otherwise the solver's time ran out, and this is the best it had. */
  isProven: boolean
}

/** Solves one lost session. */
export async function solvePlacement(visits: readonly VisitToPlace[], solver: SolverPort): Promise<Solved> {
  if (visits.length === 0) return { placement: [], isProven: true }
  const few = keepCheapest(visits)
  const program = toProgram(few, firstFit(few))
  const answers: ProgramAnswer[] = []
  let areProven = true
  for (;;) {
    const stage = nextStage(program, answers)
    if (!stage)
      return {
        placement: placementOf(program, answers.at(-1) ?? { taken: program.startFrom, bound: 0 }),
        isProven: areProven,
      }
    const answer = await solver.solve(stage)
    areProven &&= answer !== null && isProven(stage, answer)
    answers.push(answer ?? answers.at(-1) ?? { taken: program.startFrom, bound: Number.NEGATIVE_INFINITY })
  }
}
