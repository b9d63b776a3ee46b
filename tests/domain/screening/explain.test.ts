import { describe, expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Facts } from '#lib/domain/protocol/need.ts'
import { explain, reasonFor } from '#lib/domain/screening/explain.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { BEST_HOME, without } from './foot-and-ankle-homes.ts'

function screened(conditionId: string, facts: Facts, gapsAllowed = false) {
  return screen({
    protocol: footAndAnkle,
    conditionId,
    side: 'left',
    facts,
    policy: { gapsAllowed, earlyLookAllowed: false },
  })
}

const ONE_OF_EACH = [
  ['emergency_flag', screened('heel_pain', { cold_foot: true })],
  ['urgent_flag', screened('heel_pain', { calf_swollen: true })],
  ['urgent_condition', screened('achilles_rupture', BEST_HOME)],
  ['in_person_flag', screened('ankle_sprain', { ...BEST_HOME, acute_injury: true, press_not_sure: true })],
  ['unsafe_at_home', screened('heel_pain', { ...BEST_HOME, safe_place: false })],
  ['essential_impossible', screened('flat_foot', { ...BEST_HOME, lane_m: 1 })],
  ['essential_impossible_gap_allowed', screened('flat_foot', { ...BEST_HOME, lane_m: 1 }, true)],
  ['safety_not_known', screened('heel_pain', without(BEST_HOME, 'fever', 'hot_joint'))],
  ['essential_not_known', screened('flat_foot', without(BEST_HOME, 'lane_m'))],
  ['useful_missing', screened('flat_foot', { ...BEST_HOME, helper: false })],
  ['all_possible', screened('heel_pain', BEST_HOME)],
] as const

describe('one sentence for each reader', () => {
  test.each(ONE_OF_EACH)('%s', (rule, screening) => {
    expect(screening.rule).toBe(rule)
    const { coordinator, patient } = explain(screening, footAndAnkle)
    expect(coordinator).toMatch(/^[A-Z].*\.$/)
    // The coordinator hears everything behind the rule by its title.
    const titles = [
      ...footAndAnkle.redFlags,
      ...footAndAnkle.conditions,
      ...footAndAnkle.homeRules,
      ...footAndAnkle.stations,
    ]
    for (const id of screening.because) expect(coordinator).toContain(titles.find((each) => each.id === id)?.title)
    // The patient is never told a diagnosis.
    for (const text of Object.values(patient))
      expect(text).not.toMatch(
        /rupture|fracture|clot|infection|arthritis|diabet|ulcer|sprain|rotura|fractura|trombo|infección|artritis/i,
      )
  })

  test('a time limit is said to the coordinator', () => {
    expect(explain(screened('achilles_rupture', BEST_HOME), footAndAnkle).coordinator).toContain('within 24 hours')
  })
})

describe('what closes a station, in a few words', () => {
  const reason = (conditionId: string, stationId: string, facts: Facts) => {
    const station = screened(conditionId, facts).stations.find((each) => each.stationId === stationId)
    return station === undefined ? 'no such station' : reasonFor(station, footAndAnkle)
  }
  test.each([
    ['a missing helper', 'flat_foot', 'strength_inner', { ...BEST_HOME, helper: false }, 'no helper'],
    ['a short lane', 'flat_foot', 'walk', { ...BEST_HOME, lane_m: 2 }, 'lane under 2.5 m'],
    ['a low seat', 'flat_foot', 'ankle_side', { ...BEST_HOME, seat_cm: 30 }, 'seat height under 40 cm'],
    ['an unknown seat', 'flat_foot', 'ankle_side', without(BEST_HOME, 'seat_cm'), 'not known: seat height'],
    ['an order not to stand', 'flat_foot', 'walk', { ...BEST_HOME, not_weight_bearing: true }, 'not weight-bearing'],
    [
      'a calf that must be left alone',
      'flat_foot',
      'calf_strap',
      { ...BEST_HOME, calf_swollen: true },
      'new one-sided calf pain or swelling',
    ],
    ['no camera prop', 'flat_foot', 'walk', { ...BEST_HOME, camera_prop: false }, 'no camera prop at shin height'],
    [
      'a risk of falling alone',
      'flat_foot',
      'walk',
      { ...BEST_HOME, fell: true, helper: false },
      'fall in the past year, no helper',
    ],
    ['nothing', 'flat_foot', 'walk', BEST_HOME, ''],
  ])('%s', (_, conditionId, stationId, facts, expected) => {
    expect(reason(conditionId, stationId, facts)).toBe(expected)
  })
})
