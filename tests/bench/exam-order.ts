/**
 * How fast is the best order of an exam found, beside a general solver (HiGHS, MILP) on the same plans in the same run?
 * Both must find the same cost, or the run stops. The fullest real plan is timed as well, without the solver: it has more
 * steps than the solver finishes in a bearable time.
 */
import loadHighs from 'highs'
import { invariant } from '#lib/base/invariant.ts'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import { orderCost, orderSteps } from '#lib/domain/plan/order-steps.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { loadProtocol } from '#lib/domain/protocol/load.ts'
import { setUpOf } from '#lib/domain/protocol/set-up-of.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { orderByMilp } from '#tests/domain/plan/order-by-milp.ts'
import { randomFrom, randomPlan } from '#tests/domain/plan/random-plans.ts'
import { BEST_HOME } from '#tests/domain/screening/foot-and-ankle-homes.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'
import { figures, percentile, timed } from './timing.ts'

/** Times random plans against the solver, and the longest plan that the foot and ankle protocol makes. */
export async function rows(options: BenchOptions = {}): Promise<BenchRow[]> {
  const { samples = 1000, plans = 12, steps: size = 8, seed = 7 } = options
  const highs = await loadHighs()
  const random = randomFrom(seed)
  const drawn = Array.from({ length: plans }, () => randomPlan(size, random))
  const ours = drawn.flatMap(({ steps, before, costs }) => timed(100, () => orderSteps(steps, before, costs)))
  const rival = drawn.map(({ steps, before, costs }) => {
    const started = performance.now()
    const theirs = orderByMilp(highs, steps, before, costs, false)
    const took = performance.now() - started
    const found = orderCost(orderSteps(steps, before, costs), costs)
    invariant(
      theirs.helperCalls === found.helperCalls && theirs.transitionSec === found.transitionSec,
      'the solver finds another optimum',
    )
    return took
  })

  const { steps, precedence, costs } = fullestExam()
  const fullest = timed(samples, () => orderSteps(steps, precedence, costs))
  return [
    {
      id: 'exam-order',
      ...figures(ours),
      ratio: percentile(rival, 0.5) / percentile(ours, 0.5),
      rival: 'HiGHS 1.15.3 (WASM), which finds the cost alone',
      note: `${plans} random plans of ${size} steps, seed ${seed}; rival p50 ${percentile(rival, 0.5).toFixed(0)} ms`,
    },
    {
      id: 'exam-order-fullest',
      ...figures(fullest),
      note: `${steps.length} steps, the longest plan of foot and ankle`,
    },
  ]
}

function fullestExam() {
  const loaded = loadProtocol(footAndAnkle)
  invariant(loaded.ok, 'the foot and ankle protocol loads')
  const protocol = loaded.value
  const policy = { gapsAllowed: false, earlyLookAllowed: true }
  const plans = protocol.conditions.map(({ id: conditionId }) => {
    const screening = screen({ protocol, conditionId, side: 'both', facts: BEST_HOME, policy })
    return buildPlan({ protocol, screening, side: 'both', policy: { historyMin: 8, talkMin: 7, grainMin: 5 } }).steps
  })
  const [longest = []] = plans.sort((a, b) => b.length - a.length)
  const steps = protocol.stations.flatMap((station) => {
    const step = longest.find(({ stationId }) => stationId === station.id)
    const way = station.ways.find(({ id }) => id === step?.wayId)
    if (way === undefined) return []
    const { camera, position } = setUpOf(protocol, station, way)
    return [{ id: station.id, placement: camera.placement, position, helper: way.helper }]
  })
  return { steps, precedence: protocol.precedence, costs: protocol.costs }
}
