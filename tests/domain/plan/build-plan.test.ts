import { describe, expect, test } from 'vitest'
import { buildPlan } from '#lib/domain/plan/build-plan.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Facts } from '#lib/domain/protocol/need.ts'
import type { Side } from '#lib/domain/protocol/schema.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { BEST_HOME } from '#tests/domain/screening/foot-and-ankle-homes.ts'

const POLICY = { historyMin: 8, talkMin: 7, grainMin: 5 }

function planFor(conditionId: string, facts: Facts, side: Side = 'left', policy = POLICY) {
  const screening = screen({
    protocol: footAndAnkle,
    conditionId,
    side,
    facts,
    policy: { gapsAllowed: false, earlyLookAllowed: true },
  })
  return { plan: buildPlan({ protocol: footAndAnkle, screening, side, policy }), screening }
}

describe('an exam plan', () => {
  test('holds each station that can be done, in its best way, and no other', () => {
    const { plan, screening } = planFor('flat_foot', { ...BEST_HOME, helper: false, strap: false, towel: false })
    const possible = screening.stations.filter(({ can }) => can === 'yes')
    expect(plan.steps.map(({ stationId }) => stationId).sort()).toEqual(
      possible.map(({ stationId }) => stationId).sort(),
    )
    for (const { stationId, wayId } of plan.steps)
      expect(possible.find((station) => station.stationId === stationId)?.way?.id).toBe(wayId)
    expect(plan.steps.map(({ stationId }) => stationId)).not.toContain('strength_inner')
  })

  test('worked by hand: calf pain after a snap, with helper and bed, left side', () => {
    const { plan } = planFor('achilles_rupture', BEST_HOME)
    expect(plan.steps.map(({ stationId, helper }) => (helper ? `${stationId} *` : stationId))).toEqual([
      'resting_angle',
      'point_to_pain',
      'skin_top',
      'nail_refill *',
      'light_touch *',
      'calf_squeeze *',
    ])
    // Bed to chair and phone to shin 60, phone in hand 40, helper in 30, then bed again 60: 190 s.
    expect(plan.helperCalls).toBe(1)
    expect(plan.transitionSec).toBe(190)
    // 1 + 1 + 1 + 2 × 0.5 + 2 × 1.5 + 2 × 1 = 9 min and 190 s: 13 min; 8 + 13 + 7 = 28, rounded up to 30.
    expect(plan.examMin).toBe(13)
    expect(plan.visitMin).toBe(30)
    // Called at 8 + 3 min + 100 s, done at 8 + 9 min + 190 s.
    expect(plan.helperWindow).toEqual({ fromMin: 12, toMin: 21 })
  })

  test('does the other side first where sides are compared, and both at once where they are seen together', () => {
    const sides = (side: Side) => {
      const { plan } = planFor('pain_unknown', BEST_HOME, side)
      const of = (id: string) => plan.steps.find(({ stationId }) => stationId === id)?.sides
      return [of('ankle_side'), of('point_to_pain'), of('walk')]
    }
    expect(sides('left')).toEqual([['right', 'left'], ['left'], ['both']])
    expect(sides('right')).toEqual([['left', 'right'], ['right'], ['both']])
    expect(sides('both')).toEqual([['left', 'right'], ['left', 'right'], ['both']])
  })

  test('gives minutes for each side that is done', () => {
    const { plan } = planFor('pain_unknown', BEST_HOME, 'both')
    const minutes = (id: string) => plan.steps.find(({ stationId }) => stationId === id)?.minutes
    expect([minutes('ankle_side'), minutes('point_to_pain'), minutes('walk')]).toEqual([2, 2, 2])
  })

  test.each(footAndAnkle.conditions.map(({ id }) => id))('for %s keeps what must come first', (conditionId) => {
    const order = planFor(conditionId, BEST_HOME).plan.steps.map(({ stationId }) => stationId)
    for (const { first, second } of footAndAnkle.precedence)
      if (order.includes(first) && order.includes(second))
        expect(order.indexOf(first)).toBeLessThan(order.indexOf(second))
  })

  test('the helper’s window covers every step that needs one', () => {
    const { plan } = planFor('pain_unknown', { ...BEST_HOME, fell: true })
    expect(plan.helperWindow).not.toBeNull()
    const { fromMin, toMin } = plan.helperWindow ?? { fromMin: 0, toMin: 0 }
    const helped = plan.steps.filter(({ helper }) => helper)
    expect(helped.map(({ stationId }) => stationId)).toEqual(
      expect.arrayContaining(['walk', 'posture_behind', 'strength_push']),
    )
    for (const step of helped) {
      expect(step.atMin).toBeGreaterThanOrEqual(fromMin)
      expect(Math.floor(step.atMin + step.minutes)).toBeLessThanOrEqual(toMin)
    }
  })

  test('nobody is called when nobody is needed', () => {
    const { plan } = planFor('heel_pain', { ...BEST_HOME, helper: false })
    expect(plan.helperCalls).toBe(0)
    expect(plan.helperWindow).toBeNull()
  })

  test('a visit in which nothing can be examined is history and talk', () => {
    const { plan } = planFor('heel_pain', {})
    expect(plan.steps).toEqual([])
    expect(plan).toMatchObject({ examMin: 0, visitMin: 15, transitionSec: 0 })
  })

  test.each([5, 10, 15, 20])('a visit is booked in whole grains of %i minutes and is never too short', (grainMin) => {
    const { plan } = planFor('pain_unknown', BEST_HOME, 'left', { ...POLICY, grainMin })
    expect(plan.visitMin % grainMin).toBe(0)
    expect(plan.visitMin).toBeGreaterThanOrEqual(8 + plan.examMin + 7)
    expect(plan.visitMin - grainMin).toBeLessThan(8 + plan.examMin + 7)
  })
})
