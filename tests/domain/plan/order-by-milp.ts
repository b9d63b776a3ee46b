/**
 * The best order as a mixed-integer program, for a solver that knows nothing of our search (HiGHS).
 *
 * A step is put at each place; what is where at a place (camera, body, helper) follows from it, and a change costs what
 * the protocol says. Calls come first by a weight that outweighs every second of the exam, then, among the orders that
 * cost no more, the house order: the step at an earlier place outweighs all later ones.
 */
import type { Highs } from 'highs'
import { invariant } from '#lib/base/invariant.ts'
import type { Before, OrderCost, StepToPlace } from '#lib/domain/plan/order-steps.ts'
import type { Costs } from '#lib/domain/protocol/schema.ts'

/** Seconds that a helper call weighs: more than forty stations could need. */
const CALL = 100_000
const OPTIONS = { output_flag: false, mip_rel_gap: 0, mip_abs_gap: 0, random_seed: 1 } as const

export type MilpOrder = OrderCost & { ids: string[] | null }

/** The least cost; with `houseOrder` also the order itself (for few steps: its weights grow by a power of their number). */
export function orderByMilp(
  highs: Highs,
  steps: readonly StepToPlace[],
  before: readonly Before[],
  costs: Costs,
  houseOrder: boolean,
): MilpOrder {
  const places = [...steps.keys()]
  const at = (step: number, place: number) => `x_${step}_${place}`
  const sum = (terms: readonly string[]) => terms.join(' + ')
  const rows: string[] = []
  const price: string[] = []

  for (const place of places) rows.push(`${sum(places.map((step) => at(step, place)))} = 1`)
  for (const step of places) rows.push(`${sum(places.map((place) => at(step, place)))} = 1`)

  // Whatever may stand at a later place, the first of a pair is done by then: tighter than comparing two places.
  const index = new Map(steps.map(({ id }, step) => [id, step]))
  for (const { first, second } of before) {
    const [a, b] = [index.get(first), index.get(second)]
    if (a === undefined || b === undefined) continue
    for (const place of places) {
      const done = places.slice(0, place).map((earlier) => `- ${at(a, earlier)}`)
      rows.push(`${sum(places.slice(0, place + 1).map((upTo) => at(b, upTo)))} ${done.join(' ')} <= 0`)
    }
  }

  // A change from one place to the next, for whatever the steps are grouped by.
  const change = (name: string, members: readonly number[], place: number) => {
    const here = members.map((step) => at(step, place))
    const there = place === 0 ? [] : members.map((step) => at(step, place - 1))
    rows.push(`${name} ${here.map((term) => `- ${term}`).join(' ')} ${there.map((term) => `+ ${term}`).join(' ')} >= 0`)
  }
  const grouped = (name: string, seconds: number, groupOf: (step: StepToPlace) => string) => {
    const groups = [...Map.groupBy(places, (step) => groupOf(steps[step]!)).values()]
    const later = places.slice(1)
    for (const place of later) {
      for (const members of groups) change(`${name}_${place}`, members, place)
      price.push(`${seconds} ${name}_${place}`)
    }
    // Every group but the first has to be changed to at least once.
    if (later.length > 0) rows.push(`${sum(later.map((place) => `${name}_${place}`))} >= ${groups.length - 1}`)
  }
  grouped('camera', costs.moveCameraSec, ({ placement }) => placement)
  grouped('body', costs.changePositionSec, ({ position }) => position)
  const helped = places.filter((step) => steps[step]!.helper)
  const alone = places.filter((step) => !steps[step]!.helper)
  if (helped.length > 0) {
    for (const place of places) {
      change(`call_${place}`, helped, place)
      price.push(`${CALL + costs.callHelperSec} call_${place}`)
      if (place === 0) continue
      change(`release_${place}`, alone, place)
      price.push(`${costs.releaseHelperSec} release_${place}`)
    }
    rows.push(`${sum(places.map((place) => `call_${place}`))} >= 1`)
  }
  // The first place needs no release: nobody is there yet.
  const binaries = places.flatMap((step) => places.map((place) => at(step, place)))

  const solve = (objective: string, more: readonly string[]) => {
    const program = [
      'Minimize',
      ` cost: ${objective}`,
      'Subject To',
      ...[...rows, ...more].map((row, n) => ` r${n}: ${row}`),
    ]
    const found = highs.solve([...program, 'Binaries', ` ${binaries.join(' ')}`, 'End'].join('\n'), OPTIONS)
    invariant(found.Status === 'Optimal', `the solver finds an optimum, not "${found.Status}"`)
    return found
  }
  const total = Math.round(solve(price.length > 0 ? sum(price) : `0 ${at(0, 0)}`, []).ObjectiveValue)
  const cost = { helperCalls: Math.floor(total / CALL), transitionSec: total % CALL }
  if (!houseOrder) return { ...cost, ids: null }

  const weights = places.flatMap((step) =>
    places.map((place) => `${step * steps.length ** (steps.length - 1 - place)} ${at(step, place)}`),
  )
  const { Columns } = solve(sum(weights), price.length > 0 ? [`${sum(price)} <= ${total}`] : [])
  const ids = places.map((place) => steps[places.find((step) => (Columns[at(step, place)]?.Primal ?? 0) > 0.5)!]!.id)
  return { ...cost, ids }
}
