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

/** The best order of the steps; `before` pairs that name other stations are ignored. */
export function orderSteps(steps: readonly StepToPlace[], before: readonly Before[], costs: Costs): StepToPlace[] {
  if (steps.length === 0) return []
  const exam = new Exam(steps, before)
  const search = searchFor(exam, {
    camera: Math.round(costs.moveCameraSec * MILLI),
    position: Math.round(costs.changePositionSec * MILLI),
    call: CALL + Math.round(costs.callHelperSec * MILLI),
    release: Math.round(costs.releaseHelperSec * MILLI),
  })

  // At each place the first station of the house order that still allows the optimum.
  const order: StepToPlace[] = []
  let done = NONE
  let last: number | null = null
  let left = search.best()
  while (order.length < steps.length) {
    let next = -1
    let spent = 0
    for (let index = 0; index < steps.length && next < 0; index += 1) {
      if (!exam.isReady(done, index)) continue
      const kind = exam.kindOf[index] ?? 0
      spent = search.price(last, kind)
      if (spent > left) continue
      if (search.restWithin(exam.exhaust(exam.add(done, index), kind), kind, left - spent) <= left - spent) next = index
    }
    const step = steps[next]
    invariant(step, 'a best order has a next station')
    left -= spent
    order.push(step)
    done = exam.add(done, next)
    last = exam.kindOf[next] ?? 0
  }
  return order
}

/** The stations done so far, as bits: two halves of 20, for the protocol's limit of 40 stations. */
type Done = { readonly low: number; readonly high: number }
const HALF = 20
const NONE: Done = { low: 0, high: 0 }

/** Stations that cost nothing among each other. */
type Kind = { placement: string; position: string; helper: boolean; members: number[] }

/** What may be done when, without prices. */
class Exam {
  readonly kinds: Kind[] = []
  readonly kindOf: number[] = []
  readonly full: Done
  readonly #needs: Done[]
  readonly #withHelper: number[] = []
  readonly #alone: number[] = []

  constructor(steps: readonly StepToPlace[], before: readonly Before[]) {
    invariant(steps.length <= 2 * HALF, 'an exam has at most 40 stations')
    const at = new Map(steps.map((step, index) => [step.id, index]))
    this.#needs = steps.map(() => NONE)
    for (const { first, second } of before) {
      const from = at.get(first)
      const to = at.get(second)
      if (from !== undefined && to !== undefined) this.#needs[to] = this.add(this.#needs[to] ?? NONE, from)
    }
    this.full = steps.reduce((done, _, index) => this.add(done, index), NONE)
    for (const [index, { placement, position, helper }] of steps.entries()) {
      let kind = this.kinds.findIndex(
        (each) => each.placement === placement && each.position === position && each.helper === helper,
      )
      if (kind < 0) kind = this.kinds.push({ placement, position, helper, members: [] }) - 1
      this.kinds[kind]?.members.push(index)
      this.kindOf.push(kind)
      ;(helper ? this.#withHelper : this.#alone).push(index)
    }
  }

  add(done: Done, index: number): Done {
    return index < HALF
      ? { low: done.low | (1 << index), high: done.high }
      : { low: done.low, high: done.high | (1 << (index - HALF)) }
  }

  has(done: Done, index: number): boolean {
    return ((index < HALF ? done.low >> index : done.high >> (index - HALF)) & 1) === 1
  }

  isReady(done: Done, index: number): boolean {
    const needs = this.#needs[index] ?? NONE
    return !this.has(done, index) && (needs.low & ~done.low) === 0 && (needs.high & ~done.high) === 0
  }

  isComplete(done: Done): boolean {
    return done.low === this.full.low && done.high === this.full.high
  }

  /** All that one kind can do now, one station enabling the next. */
  exhaust(start: Done, kind: number): Done {
    return this.#exhaustAll(start, this.kinds[kind]?.members ?? [])
  }

  /** Calls and releases that the rest needs at the least: whoever is there finishes all they can before a change. */
  helperChanges(start: Done, helperIsThere: boolean): { calls: number; releases: number } {
    let done = start
    let there = helperIsThere
    let calls = 0
    let releases = 0
    for (let idle = 0; idle < 2; ) {
      const before = done
      done = this.#exhaustAll(done, there ? this.#withHelper : this.#alone)
      if (this.isComplete(done)) return { calls, releases }
      idle = done.low === before.low && done.high === before.high ? idle + 1 : 0
      there = !there
      if (there) calls += 1
      else releases += 1
    }
    invariant(false, 'precedence of a loaded protocol goes round in no circle')
  }

  #exhaustAll(start: Done, members: readonly number[]): Done {
    let done = start
    for (let grew = true; grew; ) {
      grew = false
      for (const index of members)
        if (this.isReady(done, index)) {
          done = this.add(done, index)
          grew = true
        }
    }
    return done
  }
}

type Prices = { camera: number; position: number; call: number; release: number }

/** Deepening search over the kinds: what is proven of a state is kept, so each budget builds on the last. */
function searchFor(exam: Exam, prices: Prices) {
  const { kinds } = exam
  const move = (a: Kind, b: Kind) =>
    (a.placement === b.placement ? 0 : prices.camera) + (a.position === b.position ? 0 : prices.position)
  const moves = kinds.map((from) => kinds.map((to) => move(from, to)))
  const price = (from: number | null, to: number): number => {
    const a = from === null ? undefined : kinds[from]
    const b = kinds[to]
    if (b === undefined) return 0
    const call = b.helper && !(a?.helper ?? false) ? prices.call : 0
    if (from === null || a === undefined) return call
    return call + (a.helper && !b.helper ? prices.release : 0) + (moves[from]?.[to] ?? 0)
  }

  /** Never more than the true rest. */
  const atLeast = (done: Done, last: number): number => {
    if (exam.isComplete(done)) return 0
    const here = kinds[last]
    const { calls, releases } = exam.helperChanges(done, here?.helper ?? false)
    const withHelper: number[] = []
    const alone: number[] = []
    for (const [k, kind] of kinds.entries())
      if (kind.members.some((index) => !exam.has(done, index))) (kind.helper ? withHelper : alone).push(k)
    // Where we stand is a point of its own: what is left of its kind can be reached only by way of another.
    const now = here?.helper ? withHelper : alone
    const whole = spanningTree(last, [...withHelper, ...alone], moves)
    const own = spanningTree(last, now, moves)
    const others = here?.helper ? alone : withHelper
    const other = spanningTree(others[0] ?? last, others.slice(1), moves)
    // With so many calls, and a further release costs no call, each part may be left and come back to that often.
    const ownBreaks = calls
    const otherBreaks = here?.helper ? calls : Math.max(calls - 1, 0)
    const apart = withoutDearest(own, ownBreaks) + withoutDearest(other, otherBreaks)
    return calls * prices.call + releases * prices.release + Math.max(withoutDearest(whole, 0), apart)
  }

  const proven = new Map<number, number>()
  const exact = new Map<number, number>()
  const keyOf = (done: Done, last: number) => (done.high * 2 ** HALF + done.low) * 64 + last

  /** The rest's cost if it is within the budget; else a number above the budget that it surely reaches. */
  const restWithin = (done: Done, last: number, budget: number): number => {
    if (exam.isComplete(done)) return 0
    const key = keyOf(done, last)
    const known = exact.get(key)
    if (known !== undefined) return known
    let bound = proven.get(key)
    if (bound === undefined) {
      bound = atLeast(done, last)
      proven.set(key, bound)
    }
    if (bound > budget) return bound
    let best = Infinity
    for (let k = 0; k < kinds.length; k += 1) {
      if (k === last || !kinds[k]?.members.some((index) => exam.isReady(done, index))) continue
      const step = price(last, k)
      const total = step + restWithin(exam.exhaust(done, k), k, Math.min(budget, best) - step)
      if (total < best) best = total
      if (best === bound) break
    }
    if (best <= budget) exact.set(key, best)
    else proven.set(key, best)
    return best
  }

  /** The cost of the best order. */
  const best = (): number => {
    const starts = kinds.flatMap(({ members }, k) => (members.some((index) => exam.isReady(NONE, index)) ? [k] : []))
    let budget = 0
    for (;;) {
      const found = Math.min(
        ...starts.map((k) => price(null, k) + restWithin(exam.exhaust(NONE, k), k, budget - price(null, k))),
      )
      if (found <= budget) return found
      budget = found
    }
  }
  return { price, restWithin, best }
}

/** The edges of a least spanning tree over a root and other points; a second point at the root's place is not the root. */
function spanningTree(root: number, points: readonly number[], moves: readonly (readonly number[])[]): number[] {
  const distance = points.map((point) => (point === root ? Infinity : (moves[root]?.[point] ?? 0)))
  const open = new Set(points.keys())
  const edges: number[] = []
  while (open.size > 0) {
    let nearest = -1
    for (const index of open) if (nearest < 0 || (distance[index] ?? 0) < (distance[nearest] ?? 0)) nearest = index
    const edge = distance[nearest] ?? 0
    open.delete(nearest)
    edges.push(edge)
    for (const index of open)
      distance[index] = Math.min(distance[index] ?? 0, moves[points[nearest] ?? 0]?.[points[index] ?? 0] ?? 0)
  }
  return edges
}

/** The sum of the edges but for the dearest few. */
function withoutDearest(edges: readonly number[], breaks: number): number {
  return [...edges]
    .sort((a, b) => a - b)
    .slice(0, Math.max(edges.length - breaks, 0))
    .reduce((sum, edge) => sum + edge, 0)
}
