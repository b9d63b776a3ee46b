/**
 * The exam's order against an independent solver: HiGHS (MILP), 300 random plans, the same on every run. The small plans
 * are held to the very same order, the larger ones to the same cost; trying every order (order-steps.test.ts) ends at
 * eight steps, a solver does not.
 */
import loadHighs from 'highs'
import { describe, expect, test } from 'vitest'
import { orderCost, orderSteps } from '#lib/domain/plan/order-steps.ts'
import { orderByMilp } from './order-by-milp.ts'
import { randomFrom, randomPlan } from './random-plans.ts'

const highs = await loadHighs()

describe('the solver agrees on 300 random plans', { timeout: 240_000 }, () => {
  test.each([
    { size: 2, plans: 20, seed: 102 },
    { size: 3, plans: 60, seed: 103 },
    { size: 4, plans: 60, seed: 104 },
    { size: 5, plans: 60, seed: 105 },
    { size: 6, plans: 40, seed: 106 },
  ])('fewest calls, least seconds and the house order: $plans plans of $size steps', ({ size, plans, seed }) => {
    const random = randomFrom(seed)
    for (let n = 0; n < plans; n += 1) {
      const { steps, before, costs } = randomPlan(size, random)
      const order = orderSteps(steps, before, costs)
      const ours = { ...orderCost(order, costs), ids: order.map(({ id }) => id) }
      expect(ours).toEqual(orderByMilp(highs, steps, before, costs, true))
    }
  })

  test.each([
    { size: 7, plans: 44, seed: 107 },
    { size: 8, plans: 12, seed: 108 },
    { size: 9, plans: 4, seed: 109 },
  ])('fewest calls and least seconds: $plans plans of $size steps', ({ size, plans, seed }) => {
    const random = randomFrom(seed)
    for (let n = 0; n < plans; n += 1) {
      const { steps, before, costs } = randomPlan(size, random)
      const ours = { ...orderCost(orderSteps(steps, before, costs), costs), ids: null }
      expect(ours).toEqual(orderByMilp(highs, steps, before, costs, false))
    }
  })
})
