/**
 * The placement of a lost session's visits, held against trying every one (small), and against the solver's own bound
 * (large): the least cost that any placement could have must be the cost of ours.
 */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { highsSolver } from '#lib/adapters/highs-solver.ts'
import { firstFit } from '#lib/domain/replacement/first-fit.ts'
import { keepCheapest } from '#lib/domain/replacement/keep-cheapest.ts'
import {
  collide,
  compareCost,
  type MoveCost,
  type Option,
  type Placement,
  takenBy,
  totalCost,
  type VisitToPlace,
} from '#lib/domain/replacement/placement.ts'
import { solvePlacement } from '#lib/usecases/steps/solve-placement.ts'
import { randomFrom } from '../plan/random-plans.ts'
import { type LossShape, randomLoss } from './random-losses.ts'

const solve = (visits: readonly VisitToPlace[]) => solvePlacement(visits, highsSolver())

/** The least cost of all placements, by trying them. */
function leastByTrying(visits: readonly VisitToPlace[]): MoveCost {
  let best: MoveCost | null = null
  const chosen: (Option | null)[] = []
  const taken: ReturnType<typeof takenBy>[] = []
  const place = (n: number) => {
    const visit = visits[n]
    if (!visit) {
      const cost = totalCost(visits, chosen)
      if (best === null || compareCost(cost, best) < 0) best = cost
      return
    }
    for (const option of visit.options) {
      const own = takenBy(visit, option)
      if (taken.some((other) => collide(own, other))) continue
      chosen[n] = option
      taken.push(own)
      place(n + 1)
      taken.pop()
    }
    chosen[n] = null
    place(n + 1)
  }
  place(0)
  return best as unknown as MoveCost
}

function isPossible(visits: readonly VisitToPlace[], placement: Placement): boolean {
  const taken = visits.map((visit, n) => (placement[n] ? takenBy(visit, placement[n]) : []))
  return taken.every((own, n) => taken.slice(n + 1).every((other) => !collide(own, other)))
}

const small = fc.record<LossShape & { seed: number }>({
  visits: fc.integer({ min: 1, max: 5 }),
  starts: fc.integer({ min: 1, max: 12 }),
  clinicians: fc.integer({ min: 1, max: 3 }),
  rooms: fc.integer({ min: 0, max: 2 }),
  interpreters: fc.integer({ min: 0, max: 2 }),
  share: fc.constantFrom(0.3, 0.6, 1),
  grain: fc.constantFrom(10, 15),
  length: fc.constantFrom(20, 30),
  seed: fc.nat(100_000),
})

describe('against every placement there is', () => {
  test('nothing less harmful is possible', async () => {
    await fc.assert(
      fc.asyncProperty(small, async ({ seed, ...shape }) => {
        const visits = randomLoss(shape, randomFrom(seed))
        const { placement, isProven } = await solve(visits)
        expect(isPossible(visits, placement)).toBe(true)
        expect(totalCost(visits, placement)).toEqual(leastByTrying(visits))
        expect(isProven).toBe(true)
      }),
      { numRuns: 150, seed: 8 },
    )
  })

  test('what is left out as too dear could not have made it better', () => {
    fc.assert(
      fc.property(small, ({ seed, ...shape }) => {
        const visits = randomLoss(shape, randomFrom(seed))
        expect(leastByTrying(keepCheapest(visits))).toEqual(leastByTrying(visits))
      }),
      { numRuns: 300, seed: 9 },
    )
  })

  test('what a person would do by hand is possible, and never better', () => {
    fc.assert(
      fc.property(small, ({ seed, ...shape }) => {
        const visits = randomLoss(shape, randomFrom(seed))
        const byHand = firstFit(visits)
        expect(isPossible(visits, byHand)).toBe(true)
        expect(compareCost(totalCost(visits, byHand), leastByTrying(visits))).toBeGreaterThanOrEqual(0)
      }),
      { numRuns: 150, seed: 10 },
    )
  })
})

describe('the order of harm', () => {
  const at = (clinicianId: string, startMin: number, cost: Partial<MoveCost>): Option => ({
    start: {
      clinicianId,
      sessionId: 's',
      mode: 'video',
      start: startMin * 60_000,
      end: (startMin + 30) * 60_000,
      busyFrom: startMin * 60_000,
      busyTo: (startMin + 30) * 60_000,
      siteId: null,
      roomId: null,
      interpreterId: null,
    },
    cost: { missed: 0, unplaced: 0, otherClinician: 0, days: 0, minutes: 0, ...cost },
  })
  const unplaced: MoveCost = { missed: 1, unplaced: 1, otherClinician: 0, days: 0, minutes: 0 }
  const visit = (visitId: string, ...options: Option[]): VisitToPlace => ({
    visitId,
    patientId: visitId,
    options,
    unplaced,
  })

  test('a patient seen in time is worth any number of days and another clinician for the others', async () => {
    const visits = [
      visit('urgent', at('ann', 0, {}), at('ann', 1000, { missed: 1 })),
      visit('calm', at('ann', 0, {}), at('bo', 5000, { otherClinician: 1, days: 60, minutes: 700 })),
    ]
    const { placement } = await solve(visits)
    expect(placement.map((option) => option?.start.clinicianId)).toEqual(['ann', 'bo'])
    expect(placement[0]?.cost.missed).toBe(0)
  })

  test('a late start is better than none', async () => {
    const { placement } = await solve([visit('late', at('ann', 9000, { missed: 1, days: 80 }))])
    expect(placement[0]).not.toBeNull()
  })

  test('two visits of one patient never overlap, with whomever they are', async () => {
    const visits = [visit('one', at('ann', 0, {})), visit('two', at('bo', 15, {}), at('bo', 45, { minutes: 30 }))]
    const { placement } = await solve(visits.map((each) => ({ ...each, patientId: 'same' })))
    expect(placement.map((option) => option?.start.start)).toEqual([0, 45 * 60_000])
  })

  test('what no start is found for stays visible as missed and without a start', async () => {
    const visits = [visit('one', at('ann', 0, {})), visit('two', at('ann', 0, {}))]
    const { placement } = await solve(visits)
    expect(placement.filter((option) => option === null)).toHaveLength(1)
    expect(totalCost(visits, placement)).toMatchObject({ missed: 1, unplaced: 1 })
  })
})

test('forty visits and two thousand starts are placed with a proof that nothing costs less', async () => {
  const shape = {
    visits: 40,
    starts: 2000,
    clinicians: 10,
    rooms: 4,
    interpreters: 3,
    share: 0.025,
    grain: 15,
    length: 30,
  }
  const visits = randomLoss(shape, randomFrom(4))
  const { placement, isProven } = await solve(keepCheapest(visits))
  expect(isProven).toBe(true)
  expect(isPossible(visits, placement)).toBe(true)
  expect(compareCost(totalCost(visits, placement), totalCost(visits, firstFit(visits)))).toBeLessThanOrEqual(0)
})
