/**
 * How long does one case take through the whole engine, from facts to exam plan?
 *
 * The fullest case is the condition with the most stations at a home of which
 * nothing is known that a household could change: most openers to try. Beside it
 * runs the plain way that the tests keep as judge: a whole screening for every set
 * of changes, and every order of a small exam. Differing answers stop the run.
 */
import { invariant } from '#lib/base/invariant.ts'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import { orderSteps, type StepToPlace } from '#lib/domain/plan/order-steps.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { loadProtocol } from '#lib/domain/protocol/load.ts'
import type { Facts } from '#lib/domain/protocol/need.ts'
import { setUpOf } from '#lib/domain/protocol/set-up-of.ts'
import { type ScreenInput, screen } from '#lib/domain/screening/screen.ts'
import { orderByBruteForce } from '#tests/domain/plan/orders-by-brute-force.ts'
import { randomFrom } from '#tests/domain/plan/random-plans.ts'
import { BEST_HOME, without } from '#tests/domain/screening/foot-and-ankle-homes.ts'
import { openersByBruteForce } from '#tests/domain/screening/openers-brute-force.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'
import { figures, percentile, timed } from './timing.ts'

const POLICY = { gapsAllowed: false, earlyLookAllowed: true }
const MINUTES = { historyMin: 8, talkMin: 7, grainMin: 5 }

/** Times the fullest case, the order of a small exam and assorted cases. */
export async function rows(options: BenchOptions = {}): Promise<BenchRow[]> {
  const { samples = 1000, rivalSamples = 5, cases = 10_000, seed = 7 } = options
  const loaded = loadProtocol(footAndAnkle)
  invariant(loaded.ok, 'the foot and ankle protocol loads')
  const protocol = loaded.value
  const changeable = protocol.facts.filter(({ change }) => change !== undefined).map(({ id }) => id)
  const conditionIds = protocol.conditions.map(({ id }) => id)
  const input = (conditionId: string, facts: Facts): ScreenInput => ({
    protocol,
    conditionId,
    side: 'both',
    facts,
    policy: POLICY,
  })

  // Everything there is: the longest plan. Nothing changeable known: the most openers.
  const full = input('pain_unknown', BEST_HOME)
  const bare = input('pain_unknown', without(BEST_HOME, ...changeable))
  const whole = (given: ScreenInput) => {
    const screening = screen(given)
    return { screening, plan: buildPlan({ protocol, screening, side: given.side, policy: MINUTES }) }
  }
  const fullest = () => ({ ...whole(full), openers: screen(bare).openers })
  const { plan, openers } = fullest()
  const ours = timed(samples, fullest)
  const rival = timed(rivalSamples, () => {
    const theirs = openersByBruteForce(bare)
    invariant(theirs.length === openers.length, 'the rival finds other openers')
  })
  const oursForRival = timed(rivalSamples * 20, () => screen(bare))

  const small = smallExam(protocol)
  const ordered = timed(samples, () => orderSteps(small, protocol.precedence, protocol.costs))
  const permuted = timed(rivalSamples, () => {
    const theirs = orderByBruteForce(small, protocol.precedence, protocol.costs)
    const found = orderSteps(small, protocol.precedence, protocol.costs).map(({ id }) => id)
    invariant(theirs.join() === found.join(), 'the rival finds another order')
  })

  const random = randomFrom(seed)
  const assorted = Array.from({ length: cases }, () => {
    const conditionId = conditionIds[Math.floor(random() * conditionIds.length)] ?? 'pain_unknown'
    return input(conditionId, homeFrom(random))
  })
  const each = assorted.map((given) => timed(1, () => whole(given))[0] ?? 0)

  return [
    {
      id: 'screening',
      ...figures(ours),
      ratio: percentile(rival, 0.5) / percentile(oursForRival, 0.5),
      rival: 'a whole screening for every set of up to three changes',
      note:
        `a full home screened and planned (${plan.steps.length} stations) and a bare home screened with openers over ` +
        `${changeable.length} changes, ${samples} times; the ratio is for the bare home alone`,
    },
    {
      id: 'screening-order',
      ...figures(ordered),
      ratio: percentile(permuted, 0.5) / percentile(ordered, 0.5),
      rival: 'every order that the precedence allows',
      note: `${small.length} stations, so that every order can be tried`,
    },
    { id: 'screening-assorted', ...figures(each), note: `${cases} cases through the whole engine, seed ${seed}` },
  ]
}

/** Eight stations in as many set-ups as there are, helper and none. */
function smallExam(protocol: ScreenInput['protocol']): StepToPlace[] {
  const ids = [
    'walk',
    'posture_behind',
    'skin_top',
    'ankle_up_down',
    'strength_push',
    'nail_refill',
    'calf_strap',
    'calf_squeeze',
  ]
  return protocol.stations
    .filter(({ id }) => ids.includes(id))
    .flatMap((station) =>
      station.ways.slice(0, 1).map((way) => {
        const { camera, position } = setUpOf(protocol, station, way)
        return { id: station.id, placement: camera.placement, position, helper: way.helper }
      }),
    )
}

/** A home that is mostly ready: each answer is the good one, the other one or missing. */
function homeFrom(random: () => number): Facts {
  return Object.fromEntries(
    Object.entries(BEST_HOME).flatMap(([id, good]): [string, boolean | number][] => {
      const draw = random()
      if (draw < 0.06) return []
      if (draw > 0.12) return [[id, good]]
      return [[id, typeof good === 'number' ? good / 2 : !good]]
    }),
  )
}
