/**
 * How long until a lost session's visits are placed at the least harm, with the proof? Beside it, in the same run and by
 * the same solver, the same choice written the naive way, with a row for every pair of starts that collide; and what a
 * person placing them one by one would have come to.
 */
import { highsSolver } from '#lib/adapters/highs-solver.ts'
import { invariant } from '#lib/base/invariant.ts'
import { firstFit } from '#lib/domain/replacement/first-fit.ts'
import {
  collide,
  compareCost,
  LEVELS,
  nextStage,
  type PlacementProgram,
  placementOf,
  takenBy,
  toProgram,
  totalCost,
  type VisitToPlace,
} from '#lib/domain/replacement/placement.ts'
import type { ProgramAnswer, Row } from '#lib/domain/replacement/program.ts'
import { solvePlacement } from '#lib/usecases/steps/solve-placement.ts'
import { randomFrom } from '#tests/domain/plan/random-plans.ts'
import { randomLoss } from '#tests/domain/replacement/random-losses.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'
import { figures, percentile } from './timing.ts'

/** Times lost sessions of the agreed size, each made up by its own seed. */
export async function rows(options: BenchOptions = {}): Promise<BenchRow[]> {
  const { losses = 12, rivals = 2, visits = 40, starts = 2000, seed = 1 } = options
  const shape = { visits, starts, clinicians: 10, rooms: 4, interpreters: 3, share: 1 / visits, grain: 15, length: 30 }
  const drawn = Array.from({ length: losses }, (_, n) => randomLoss(shape, randomFrom(seed + n)))
  const solver = highsSolver({ seconds: 60 })
  await solvePlacement(randomLoss({ ...shape, visits: 3, starts: 30 }, randomFrom(seed)), solver)

  const ours: number[] = []
  const costs = []
  let byHandWorse = 0
  for (const loss of drawn) {
    const before = performance.now()
    const { placement, isProven } = await solvePlacement(loss, solver)
    ours.push(performance.now() - before)
    invariant(isProven, 'the placement is proven to be the best')
    const cost = totalCost(loss, placement)
    costs.push(cost)
    if (compareCost(cost, totalCost(loss, firstFit(loss))) < 0) byHandWorse += 1
  }

  const theirs: number[] = []
  for (const [n, loss] of drawn.slice(0, rivals).entries()) {
    const before = performance.now()
    const program = pairwise(loss)
    const answers: ProgramAnswer[] = []
    for (let stage = nextStage(program, answers); stage; stage = nextStage(program, answers)) {
      const answer = await solver.solve(stage)
      invariant(answer, 'the rival finds a placement')
      answers.push(answer)
    }
    theirs.push(performance.now() - before)
    const last = answers.at(-1)
    const cost = costs[n]
    invariant(last && cost, 'both were placed')
    const found = totalCost(loss, placementOf(program, last))
    invariant(compareCost(found, cost) >= 0, 'the rival finds nothing better')
  }
  const [loss] = drawn
  const [cost] = costs
  const byHand = loss && totalCost(loss, firstFit(loss))
  const gap = LEVELS.map((level) => `${level} ${byHand?.[level]} to ${cost?.[level]}`).join(', ')
  return [
    {
      id: 're-placement',
      ...figures(ours),
      ratio: percentile(theirs, 0.5) / percentile(ours, 0.5),
      rival: 'the same solver, a row for each colliding pair',
      note: `${visits} visits, ${starts} starts, all proven; rival p50 ${percentile(theirs, 0.5).toFixed(0)} ms; placed one by one is worse in ${byHandWorse} of ${losses}: the first, ${gap}`,
    },
  ]
}

function pairwise(visits: readonly VisitToPlace[]): PlacementProgram {
  const program = toProgram(visits, firstFit(visits))
  const taken = program.columns.map(({ visit, option }) =>
    option ? takenBy(visits[visit] as VisitToPlace, option) : [],
  )
  const pairs = program.columns.flatMap((a, n) =>
    program.columns.slice(n + 1).flatMap((b, more): Row[] => {
      const m = n + 1 + more
      const areApart = a.visit === b.visit || !collide(taken[n] ?? [], taken[m] ?? [])
      return areApart ? [] : [{ columns: [n, m], atLeast: 0, atMost: 1 }]
    }),
  )
  return { ...program, rows: [...program.rows.slice(0, visits.length), ...pairs] }
}
