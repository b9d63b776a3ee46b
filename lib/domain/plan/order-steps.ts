/**
 * In which order are the stations done?
 *
 * The exact optimum: fewest helper calls, then the least seconds between
 * stations, then the clinic's house order, under the precedence pairs. The search
 * rests on one fact: a station that shares camera, position and helper with the
 * one just done costs nothing, so doing it at once never makes the rest dearer
 * (all costs are sums of "does it differ?" and obey the triangle inequality).
 */
import { invariant } from '#lib/base/invariant.ts'
import type { Costs } from '../protocol/schema.ts'

/** One station to place, in house order within the list. */
export type StepToPlace = { id: string; placement: string; position: string; helper: boolean }
export type Before = { first: string; second: string }

/** Helper calls and seconds of one order. */
export type OrderCost = { helperCalls: number; transitionSec: number }

/** Seconds to get from one step to the next; before the first step only the helper must be called. */
export function transitionSec(from: StepToPlace | null, to: StepToPlace, costs: Costs): number {
  const call = to.helper && !(from?.helper ?? false) ? costs.callHelperSec : 0
  if (from === null) return call
  return (
    call +
    (from.helper && !to.helper ? costs.releaseHelperSec : 0) +
    (from.placement === to.placement ? 0 : costs.moveCameraSec) +
    (from.position === to.position ? 0 : costs.changePositionSec)
  )
}

/** What an order costs. */
export function orderCost(order: readonly StepToPlace[], costs: Costs): OrderCost {
  let helperCalls = 0
  let seconds = 0
  let from: StepToPlace | null = null
  for (const to of order) {
    if (to.helper && !(from?.helper ?? false)) helperCalls += 1
    seconds += transitionSec(from, to, costs)
    from = to
  }
  return { helperCalls, transitionSec: seconds }
}

/** Whole milliseconds, so that equal sums are equal; a helper call outweighs all that 40 stations could need. */
const MILLI = 1000
const CALL = 1e12
/** Two 20-bit halves hold the stations done; 40 is the protocol's limit. */
const HALF = 20

type Kind = { placement: number; position: number; helper: boolean; members: number[] }
type Done = { low: number; high: number }

/** The best order of the steps; `before` pairs that name other stations are ignored. */
export function orderSteps(steps: readonly StepToPlace[], before: readonly Before[], costs: Costs): StepToPlace[] {
  const count = steps.length
  invariant(count <= 2 * HALF, 'an exam has at most 40 stations')
  const at = new Map(steps.map((step, index) => [step.id, index]))
  const needsLow = new Int32Array(count)
  const needsHigh = new Int32Array(count)
  for (const { first, second } of before) {
    const from = at.get(first)
    const to = at.get(second)
    if (from === undefined || to === undefined) continue
    if (from < HALF) needsLow[to] = (needsLow[to] ?? 0) | (1 << from)
    else needsHigh[to] = (needsHigh[to] ?? 0) | (1 << (from - HALF))
  }
  const { kinds, kindOf } = groupByKind(steps)
  const prices = {
    camera: Math.round(costs.moveCameraSec * MILLI),
    position: Math.round(costs.changePositionSec * MILLI),
    call: CALL + Math.round(costs.callHelperSec * MILLI),
    release: Math.round(costs.releaseHelperSec * MILLI),
  }
  const price = kinds.map((from) => kinds.map((to) => priceOf(from, to, prices)))
  const firstPrice = kinds.map((to) => priceOf(null, to, prices))

  const has = (done: Done, index: number) => (index < HALF ? done.low >> index : done.high >> (index - HALF)) & 1
  const ready = (done: Done, index: number) =>
    !has(done, index) && ((needsLow[index] ?? 0) & ~done.low) === 0 && ((needsHigh[index] ?? 0) & ~done.high) === 0
  const add = (done: Done, index: number): Done =>
    index < HALF
      ? { low: done.low | (1 << index), high: done.high }
      : { low: done.low, high: done.high | (1 << (index - HALF)) }
  const full: Done = { low: 2 ** Math.min(count, HALF) - 1, high: 2 ** Math.max(count - HALF, 0) - 1 }
  const complete = (done: Done) => done.low === full.low && done.high === full.high

  /** All that one kind can do now, one enabling the next. */
  const exhaust = (start: Done, kind: number): Done => {
    let done = start
    for (let grew = true; grew; ) {
      grew = false
      for (const index of kinds[kind]?.members ?? [])
        if (ready(done, index)) {
          done = add(done, index)
          grew = true
        }
    }
    return done
  }

  /** Never more than the true rest: each camera place, position and helper state still needed is entered once. */
  const atLeast = (done: Done, last: number): number => {
    let placements = 0
    let positions = 0
    let helper = false
    let alone = false
    for (let k = 0; k < kinds.length; k += 1) {
      const kind = kinds[k]
      if (kind === undefined || kind.members.every((index) => has(done, index))) continue
      placements |= 1 << kind.placement
      positions |= 1 << kind.position
      if (kind.helper) helper = true
      else alone = true
    }
    const now = kinds[last]
    if (now === undefined) return 0
    return (
      bits(placements & ~(1 << now.placement)) * prices.camera +
      bits(positions & ~(1 << now.position)) * prices.position +
      (helper && !now.helper ? prices.call : 0) +
      (alone && now.helper ? prices.release : 0)
    )
  }

  // Deepening search: what is proven of a state (its rest costs at least this) is kept.
  const proven = new Map<number, number>()
  const exact = new Map<number, number>()
  const keyOf = (done: Done, last: number) => (done.high * 2 ** HALF + done.low) * 64 + last

  /** The rest's cost if within the budget; otherwise a number above the budget that it surely reaches. */
  const restWithin = (done: Done, last: number, budget: number): number => {
    if (complete(done)) return 0
    const key = keyOf(done, last)
    const known = exact.get(key)
    if (known !== undefined) return known
    const bound = proven.get(key) ?? atLeast(done, last)
    if (bound > budget) return bound
    let best = Infinity
    for (let k = 0; k < kinds.length; k += 1) {
      if (k === last || !(kinds[k]?.members.some((index) => ready(done, index)) ?? false)) continue
      const step = price[last]?.[k] ?? 0
      const total = step + restWithin(exhaust(done, k), k, Math.min(budget, best) - step)
      if (total < best) best = total
    }
    if (best <= budget) exact.set(key, best)
    else proven.set(key, best)
    return best
  }
  const rest = (start: Done, last: number): number => {
    const done = exhaust(start, last)
    let budget = complete(done) ? 0 : atLeast(done, last)
    for (;;) {
      const cost = restWithin(done, last, budget)
      if (cost <= budget) return cost
      budget = cost
    }
  }

  // Walk: at each place the first station of the house order that still allows the optimum.
  const order: StepToPlace[] = []
  if (count === 0) return order
  let done: Done = { low: 0, high: 0 }
  let last: number | null = null
  let left = Math.min(
    ...kinds.map((kind, k) =>
      kind.members.some((index) => ready(done, index)) ? (firstPrice[k] ?? 0) + rest(done, k) : Infinity,
    ),
  )
  while (order.length < count) {
    let next = -1
    let spent = 0
    for (let index = 0; index < count && next < 0; index += 1) {
      if (!ready(done, index)) continue
      const kind = kindOf[index] ?? 0
      spent = (last === null ? firstPrice[kind] : price[last]?.[kind]) ?? 0
      if (spent > left) continue
      if (restWithin(exhaust(add(done, index), kind), kind, left - spent) <= left - spent) next = index
    }
    const step = steps[next]
    invariant(step, 'precedence of a loaded protocol has no cycle, so a best next station exists')
    left -= spent
    order.push(step)
    done = add(done, next)
    last = kindOf[next] ?? 0
  }
  return order
}

function groupByKind(steps: readonly StepToPlace[]): { kinds: Kind[]; kindOf: number[] } {
  const placements = [...new Set(steps.map(({ placement }) => placement))]
  const positions = [...new Set(steps.map(({ position }) => position))]
  const byKey = new Map<string, number>()
  const kinds: Kind[] = []
  const kindOf = steps.map(({ placement, position, helper }, index) => {
    const key = `${placement} ${position} ${helper}`
    let kind = byKey.get(key)
    if (kind === undefined) {
      kind = kinds.length
      byKey.set(key, kind)
      kinds.push({
        placement: placements.indexOf(placement),
        position: positions.indexOf(position),
        helper,
        members: [],
      })
    }
    kinds[kind]?.members.push(index)
    return kind
  })
  return { kinds, kindOf }
}

type Prices = { camera: number; position: number; call: number; release: number }

function priceOf(from: Kind | null, to: Kind, prices: Prices): number {
  const called = to.helper && !(from?.helper ?? false) ? prices.call : 0
  if (from === null) return called
  return (
    called +
    (from.helper && !to.helper ? prices.release : 0) +
    (from.placement === to.placement ? 0 : prices.camera) +
    (from.position === to.position ? 0 : prices.position)
  )
}

function bits(mask: number): number {
  let count = 0
  for (let left = mask; left !== 0; left &= left - 1) count += 1
  return count
}
