/** Random exams to put in order, the same for the same seed: few set-ups shared by many steps, as in a real exam. */
import type { Before, StepToPlace } from '#lib/domain/plan/order-steps.ts'
import type { Costs } from '#lib/domain/protocol/schema.ts'

export type RandomPlan = { steps: StepToPlace[]; before: Before[]; costs: Costs }

const PLACEMENTS = ['shin', 'lane_end', 'in_hand', 'beside_bed']
const POSITIONS = ['standing', 'seated', 'lying']

/** One plan of so many steps; pairs run from earlier to later in a hidden order, so they never go round. */
export function randomPlan(size: number, random: () => number): RandomPlan {
  const one = <T>(list: readonly T[]): T => list[Math.floor(random() * list.length)]!
  const upTo = (most: number) => Math.floor(random() * (most + 1))
  const steps = Array.from({ length: size }, (_, n) => ({
    id: `s${n}`,
    placement: one(PLACEMENTS),
    position: one(POSITIONS),
    helper: random() < 0.35,
  }))
  const hidden = steps.map((step) => ({ ...step, key: random() })).sort((a, b) => a.key - b.key)
  const before = hidden.flatMap(({ id: first }, n) =>
    hidden.slice(n + 1).flatMap(({ id: second }) => (random() < 0.15 ? [{ first, second }] : [])),
  )
  const costs = {
    moveCameraSec: upTo(60),
    changePositionSec: upTo(60),
    callHelperSec: upTo(60),
    releaseHelperSec: upTo(30),
    source: 'test',
  }
  return { steps, before, costs }
}

/** mulberry32: small, seeded, good enough to invent exams. */
export function randomFrom(seed: number): () => number {
  let state = seed
  return () => {
    state = (state + 0x6d2b79f5) | 0
    let t = Math.imul(state ^ (state >>> 15), 1 | state)
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32
  }
}
