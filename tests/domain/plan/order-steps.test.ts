import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { type Before, orderCost, orderSteps, type StepToPlace, transitionSec } from '#lib/domain/plan/order-steps.ts'
import type { Costs } from '#lib/domain/protocol/schema.ts'
import { orderByBruteForce } from './orders-by-brute-force.ts'

/** The same cases on every run. */
const SEED = 20260310

const anyCosts: fc.Arbitrary<Costs> = fc
  .tuple(...[0, 1, 2, 3].map(() => fc.constantFrom(0, 5, 10, 12.5, 40)))
  .map(([moveCameraSec = 0, changePositionSec = 0, callHelperSec = 0, releaseHelperSec = 0]) => ({
    moveCameraSec,
    changePositionSec,
    callHelperSec,
    releaseHelperSec,
    source: 'test',
  }))

const anyExam = (minLength: number, maxLength: number, pairsMax: number) =>
  fc
    .record({
      kinds: fc.array(
        fc.record({
          placement: fc.constantFrom('p', 'q', 'r'),
          position: fc.constantFrom('standing', 'seated', 'lying'),
          helper: fc.boolean(),
        }),
        { minLength, maxLength },
      ),
      // A pair runs along a hidden order, so that there is no circle.
      hidden: fc.array(fc.nat(), { minLength: maxLength, maxLength }),
      pairs: fc.array(fc.tuple(fc.nat(maxLength - 1), fc.nat(maxLength - 1)), { maxLength: pairsMax }),
      costs: anyCosts,
    })
    .map(({ kinds, hidden, pairs, costs }) => {
      const steps = kinds.map((kind, index): StepToPlace => ({ id: `s${index}`, ...kind }))
      const earlier = (a: number, b: number) =>
        (hidden[a] ?? 0) < (hidden[b] ?? 0) || (hidden[a] === hidden[b] && a < b)
      const before = pairs
        .filter(([a, b]) => a !== b)
        .map(
          ([a, b]): Before =>
            earlier(a, b) ? { first: `s${a}`, second: `s${b}` } : { first: `s${b}`, second: `s${a}` },
        )
      return { steps, before, costs }
    })

/** What a person would do: always the cheapest next station. */
function nearestNext(steps: readonly StepToPlace[], before: readonly Before[], costs: Costs): StepToPlace[] {
  const order: StepToPlace[] = []
  while (order.length < steps.length) {
    const left = steps.filter((step) => !order.includes(step))
    const free = left.filter((step) =>
      before.every(({ first, second }) => second !== step.id || !left.some(({ id }) => id === first)),
    )
    const from = order.at(-1) ?? null
    const dearness = (step: StepToPlace) => (step.helper && !from?.helper ? 1e6 : 0) + transitionSec(from, step, costs)
    order.push(...free.sort((a, b) => dearness(a) - dearness(b)).slice(0, 1))
  }
  return order
}

const ids = (steps: readonly StepToPlace[]) => steps.map(({ id }) => id)

describe('the order of an exam', () => {
  test('is the best of all permutations, up to 6 stations', () => {
    fc.assert(
      fc.property(anyExam(1, 6, 6), ({ steps, before, costs }) => {
        expect(ids(orderSteps(steps, before, costs))).toEqual(orderByBruteForce(steps, before, costs))
      }),
      { numRuns: 600, seed: SEED },
    )
  })

  test('is the best of all permutations of 8 stations', () => {
    fc.assert(
      fc.property(anyExam(8, 8, 10), ({ steps, before, costs }) => {
        expect(ids(orderSteps(steps, before, costs))).toEqual(orderByBruteForce(steps, before, costs))
      }),
      { numRuns: 60, seed: SEED },
    )
  }, 60_000)

  test('of 40 stations keeps every precedence and is no dearer than any way through that a greedy hand would find', () => {
    fc.assert(
      fc.property(anyExam(30, 40, 15), ({ steps, before, costs }) => {
        const order = orderSteps(steps, before, costs)
        const at = new Map(order.map(({ id }, index) => [id, index]))
        expect([...ids(order)].sort()).toEqual([...ids(steps)].sort())
        for (const { first, second } of before)
          if (at.has(first) && at.has(second)) expect(at.get(first)).toBeLessThan(at.get(second) ?? -1)
        const best = orderCost(order, costs)
        const other = orderCost(nearestNext(steps, before, costs), costs)
        expect(best.helperCalls).toBeLessThanOrEqual(other.helperCalls)
        if (best.helperCalls === other.helperCalls) expect(best.transitionSec).toBeLessThanOrEqual(other.transitionSec)
      }),
      { numRuns: 40, seed: SEED },
    )
  }, 60_000)

  test('of nothing is nothing', () => {
    expect(
      orderSteps([], [], {
        moveCameraSec: 1,
        changePositionSec: 1,
        callHelperSec: 1,
        releaseHelperSec: 1,
        source: 'x',
      }),
    ).toEqual([])
  })

  test('calls the helper once rather than save seconds', () => {
    const step = (id: string, placement: string, helper: boolean): StepToPlace => ({
      id,
      placement,
      position: 'seated',
      helper,
    })
    const steps = [step('a', 'p', true), step('b', 'p', false), step('c', 'q', true), step('d', 'q', false)]
    const costs = { moveCameraSec: 100, changePositionSec: 0, callHelperSec: 1, releaseHelperSec: 1, source: 'x' }
    // One call costs two camera moves here; one camera move would cost two calls.
    expect(ids(orderSteps(steps, [], costs))).toEqual(['b', 'a', 'c', 'd'])
  })
})
