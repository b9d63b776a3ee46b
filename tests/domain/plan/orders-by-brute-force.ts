/** The best order by trying every order that the precedence allows: the judge of the quick answer. */
import { type Before, orderCost, type StepToPlace } from '#lib/domain/plan/order-steps.ts'
import type { Costs } from '#lib/domain/protocol/schema.ts'

export function orderByBruteForce(steps: readonly StepToPlace[], before: readonly Before[], costs: Costs): string[] {
  const place = new Map(steps.map(({ id }, index) => [id, index]))
  let best: { order: StepToPlace[]; rank: number[] } | null = null
  const grow = (order: StepToPlace[]) => {
    if (order.length === steps.length) {
      const { helperCalls, transitionSec } = orderCost(order, costs)
      const rank = [helperCalls, transitionSec, ...order.map(({ id }) => place.get(id) ?? -1)]
      if (best === null || isLess(rank, best.rank)) best = { order: [...order], rank }
      return
    }
    for (const step of steps) {
      if (order.includes(step)) continue
      const free = before.every(
        ({ first, second }) => second !== step.id || !place.has(first) || order.some(({ id }) => id === first),
      )
      if (free) grow([...order, step])
    }
  }
  grow([])
  return (best as { order: StepToPlace[] } | null)?.order.map(({ id }) => id) ?? []
}

function isLess(left: readonly number[], right: readonly number[]): boolean {
  const at = left.findIndex((value, index) => value !== right[index])
  return at >= 0 && (left[at] ?? 0) < (right[at] ?? 0)
}
