/**
 * What each station of a foot and ankle exam by video needs, and what is never done at home.
 *
 * The needs are common practice in remote foot and ankle exams; where a paper says more it stands beside the check.
 */
import { describe, expect, test } from 'vitest'
import { expand, factsRead } from '#lib/domain/protocol/expand.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Facts } from '#lib/domain/protocol/need.ts'
import { IMPORTANCES, type Station, type Way } from '#lib/domain/protocol/schema.ts'
import { setUpOf } from '#lib/domain/protocol/set-up-of.ts'
import { truthOf } from '#lib/domain/screening/evaluate.ts'
import { questionsFor } from '#lib/domain/screening/home-check.ts'
import { BEST_HOME, without } from '#tests/domain/screening/foot-and-ankle-homes.ts'

function station(id: string): Station {
  const found = footAndAnkle.stations.find((each) => each.id === id)
  if (found === undefined) throw new Error(`no station "${id}"`)
  return found
}

const needOf = (of: Station, way: Way) =>
  expand({ all: [of.safety, setUpOf(footAndAnkle, of, way).needs, way.needs] }, footAndAnkle)

/** The best way that is surely possible. */
function bestWay(id: string, facts: Facts): string | null {
  const of = station(id)
  const possible = of.ways.filter((way) => truthOf(needOf(of, way), facts) === 'yes')
  return possible.sort((a, b) => b.value - a.value)[0]?.id ?? null
}

const ALONE: Facts = { ...BEST_HOME, helper: false, helper_strong: false }

describe('what a station needs (common practice)', () => {
  test.each<[what: string, id: string, home: Facts, way: string | null]>([
    ['a walk has four steps, a turn and the way back', 'walk', { ...ALONE, lane_m: 4.1 }, 'alone'],
    ['a shorter walk is worth less', 'walk', { ...ALONE, lane_m: 4 }, 'alone_short'],
    ['a walk of under 2.5 m is none', 'walk', { ...ALONE, lane_m: 2.4 }, null],
    ['on the toes: the same lane', 'toe_walk', { ...ALONE, lane_m: 4.1 }, 'alone'],
    ['on the toes: something to hold', 'toe_walk', { ...ALONE, support: false }, null],
    ['on the heels: the same lane', 'heel_walk', { ...ALONE, lane_m: 4.1 }, 'alone'],
    ['on the heels: something to hold', 'heel_walk', { ...ALONE, support: false }, null],
    ['a walk is filmed by a phone that stands on its own', 'walk', { ...ALONE, camera_prop: false }, null],
    ['posture from behind', 'posture_behind', ALONE, 'alone'],
    ['posture from above: light', 'posture_above', { ...ALONE, bright_light: false }, null],
    [
      'posture from above: no prop, the phone is in the hand',
      'posture_above',
      { ...ALONE, camera_prop: false },
      'alone',
    ],
    ['pain is pointed to by a hand that reaches', 'point_to_pain', ALONE, 'self'],
    ['or by somebody else’s', 'point_to_pain', { ...BEST_HOME, reach_foot: false }, 'tells_helper'],
    ['skin of the top', 'skin_top', ALONE, 'self'],
    ['skin of the soles, seated', 'skin_soles', ALONE, 'self'],
    ['ankle up and down on a seat so high that the feet hang', 'ankle_up_down', { ...ALONE, seat_cm: 50 }, 'high_seat'],
    ['and less well on a chair', 'ankle_up_down', { ...ALONE, seat_cm: 45 }, 'low_seat'],
    ['helped by the own hand', 'ankle_up_down_hand', ALONE, 'hand'],
    ['or by a strap', 'ankle_up_down_hand', { ...ALONE, reach_foot: false }, 'strap'],
    ['knee straight, no hand', 'calf_length', { ...ALONE, reach_foot: false }, 'self'],
    ['side to side', 'ankle_side', ALONE, 'self'],
    ['side to side by the own hand', 'ankle_side_hand', { ...ALONE, reach_foot: false }, null],
    ['push down against a helper', 'strength_push', BEST_HOME, 'helper_resists'],
    ['or by rising on the toes', 'strength_push', ALONE, 'alone_heel_raise'],
    ['pull up against a helper', 'strength_pull', BEST_HOME, 'helper_resists'],
    ['or by walking on the heels', 'strength_pull', ALONE, 'alone_heel_walk'],
    ['big toe up against a helper', 'strength_big_toe', BEST_HOME, 'helper_resists'],
    ['or against the own hand', 'strength_big_toe', ALONE, 'own_hand'],
    ['the inner border needs a helper', 'strength_inner', ALONE, null],
    ['the outer border needs a helper', 'strength_outer', ALONE, null],
    ['a helper who can’t push is none', 'strength_outer', { ...BEST_HOME, helper_strong: false }, null],
    ['toenail refill', 'nail_refill', ALONE, 'self'],
    ['shin refill', 'shin_refill', ALONE, 'self'],
    ['a refill is seen in good light only', 'shin_refill', { ...BEST_HOME, bright_light: false }, null],
    ['squeeze of the own calf', 'calf_self_squeeze', ALONE, 'self'],
    ['pull with a strap', 'calf_strap', ALONE, 'strap'],
    ['a towel will do', 'calf_strap', { ...ALONE, strap: false }, 'strap'],
    ['no strap and no towel', 'calf_strap', { ...ALONE, strap: false, towel: false }, null],
    ['light touch', 'light_touch', ALONE, 'self_touches'],
    ['heel raises on both legs with something to hold', 'heel_raise_double', { ...ALONE, support: false }, null],
    ['heel raises on one leg with something to hold', 'heel_raise_single', { ...ALONE, support: false }, null],
    ['a book will do for the block', 'block_stand', { ...ALONE, block: false }, 'alone'],
    ['no block and no book', 'block_stand', { ...ALONE, block: false, book: false }, null],
    ['on the block something to hold', 'block_stand', { ...ALONE, support: false }, null],
    ['big toe by muscle, then by hand', 'big_toe_range', ALONE, 'hand'],
    ['by muscle alone', 'big_toe_range', { ...ALONE, reach_foot: false }, 'no_hand'],
    ['the calf squeeze face down needs a helper', 'calf_squeeze', ALONE, null],
    ['and a couch or bed', 'calf_squeeze', { ...BEST_HOME, couch: false }, null],
    ['with both', 'calf_squeeze', BEST_HOME, 'helper_squeezes'],
    ['without a helper, the resting angle', 'resting_angle', ALONE, 'self'],
    ['one leg: something to hold', 'single_leg_stance', { ...ALONE, support: false }, null],
    ['a lunge is measured with a tape', 'lunge_wall', ALONE, 'alone'],
    ['or judged by eye', 'lunge_wall', { ...ALONE, tape: false }, 'alone_by_eye'],
    ['swelling is measured with a tape', 'swelling_compare', ALONE, 'tape'],
    ['or judged by eye', 'swelling_compare', { ...ALONE, tape: false }, 'by_eye'],
    ['the worn shoes', 'shoe_wear', ALONE, 'self'],
    ['big toe up under load, on a block', 'windlass', ALONE, 'alone'],
    ['or by hand in the seat', 'windlass', { ...ALONE, not_weight_bearing: true }, 'seated_by_hand'],
    ['the heel is pressed by the own thumb', 'heel_press', { ...BEST_HOME, reach_foot: false }, null],
    ['the forefoot too', 'forefoot_press', { ...BEST_HOME, reach_foot: false }, null],
    ['the web spaces too', 'web_squeeze', { ...BEST_HOME, reach_foot: false }, null],
  ])('%s', (_, id, home, way) => {
    expect(bestWay(id, home)).toBe(way)
  })

  test.each([
    ['walk', 'lane', 'together'],
    ['toe_walk', 'lane', 'together'],
    ['posture_behind', 'stand_back', 'together'],
    ['posture_above', 'stand_above', 'together'],
    ['ankle_side', 'seat_front', 'compare'],
    ['ankle_up_down', 'high_seat_side', 'compare'],
    ['calf_length', 'seat_side', 'compare'],
    ['big_toe_range', 'seat_side', 'compare'],
    ['strength_push', 'seat_front', 'compare'],
    ['block_stand', 'stand_back', 'compare'],
    ['calf_squeeze', 'face_down', 'compare'],
    ['light_touch', 'close_to_foot', 'compare'],
  ])('%s is done in the set-up %s, sides %s', (id, setUp, sides) => {
    expect(station(id)).toMatchObject({ setUp, sides })
  })

  test('light touch goes to every place', () => {
    for (const place of ['top of the foot', 'between first and second toe', 'sole', 'both borders', 'inner calf'])
      expect(station('light_touch').looksFor).toContain(place)
  })

  test('the observer’s phone stands at the height of the shin', () => {
    for (const { camera } of footAndAnkle.setUps.filter(
      ({ camera, position }) => !camera.handheld && position !== 'lying',
    ))
      expect(camera.heightCm).toBe(30)
  })

  // 2.5 to 4 cm: orthopaedic texts on the block test.
  test('the block is 2.5 to 4 cm', () => {
    expect(footAndAnkle.facts.find(({ id }) => id === 'block')?.label).toContain('2.5 to 4 cm')
  })
})

describe('on the feet', () => {
  const standing = footAndAnkle.stations.flatMap((of) =>
    of.ways
      .filter((way) => setUpOf(footAndAnkle, of, way).position === 'standing')
      .map((way): [string, Station, Way] => [`${of.id}, ${way.id}`, of, way]),
  )
  const RISKS = ['fell', 'unsteady', 'worries_falling', 'lost_feeling', 'dizzy']

  test('are the stations that are meant to be', () => {
    expect(new Set(standing.map(([, { id }]) => id)).size).toBe(13)
  })

  test.each(standing)('%s: never while weight must not be borne, nor while that is not known', (_, of, way) => {
    expect(truthOf(needOf(of, way), { ...BEST_HOME, not_weight_bearing: true })).toBe('no')
    expect(truthOf(needOf(of, way), without(BEST_HOME, 'not_weight_bearing'))).not.toBe('yes')
  })

  // CDC STEADI, three key questions, any yes; lost feeling and dizziness: Stay Independent, items 9 to 11.
  test.each(standing)('%s: at a risk of falling, or with any of it not known, never alone', (_, of, way) => {
    for (const risk of RISKS)
      for (const facts of [{ ...BEST_HOME, [risk]: true }, without(BEST_HOME, risk)]) {
        const truth = truthOf(needOf(of, way), facts)
        if (!way.helper) expect(truth).not.toBe('yes')
        expect(truthOf(needOf(of, way), { ...facts, helper: false })).not.toBe('yes')
        expect(truthOf(needOf(of, way), { ...facts, support: false })).not.toBe('yes')
      }
  })
})

test.each(['calf_strap', 'calf_self_squeeze', 'calf_squeeze'])(
  '%s is never done with signs of a clot, or while they are not known',
  (id) => {
    expect(bestWay(id, { ...BEST_HOME, calf_swollen: true })).toBeNull()
    expect(bestWay(id, without(BEST_HOME, 'calf_swollen'))).toBeNull()
  },
)

describe('what each suspicion asks and forbids', () => {
  const condition = (id: string) => {
    const found = footAndAnkle.conditions.find((each) => each.id === id)
    if (found === undefined) throw new Error(`no condition "${id}"`)
    return found
  }

  test('forty stations at the most, eighteen conditions', () => {
    expect(footAndAnkle.stations.length).toBeLessThanOrEqual(40)
    expect(footAndAnkle.conditions).toHaveLength(18)
  })

  // The special tests of the trade, each asked only where it is suspected.
  test.each([
    ['heel_raise_single', 'flat_foot'],
    ['block_stand', 'cavovarus'],
    ['big_toe_range', 'big_toe_arthritis'],
    ['calf_squeeze', 'achilles_rupture'],
    ['heel_press', 'heel_pain'],
    ['web_squeeze', 'interdigital_neuroma'],
    ['tarsal_tap', 'tarsal_tunnel'],
    ['press_bones', 'stress_fracture'],
    ['posture_above', 'bunion'],
  ])('%s is essential for %s', (stationId, id) => {
    expect(condition(id).stations.essential).toContain(stationId)
  })

  // No loading of a tendon or bone that may be broken, nor of a foot that may be giving way (common practice; NICE NG19).
  test.each(['achilles_rupture', 'stress_fracture', 'midfoot_sprain', 'foot_in_diabetes', 'warm_swollen_foot'])(
    '%s forbids rising, balance and lunging, and every way round to them',
    (id) => {
      expect(condition(id).forbids).toEqual(
        expect.arrayContaining([
          'heel_raise_single',
          'heel_raise_double',
          'toe_walk',
          'single_leg_stance',
          'lunge_wall',
          'windlass',
          'strength_push',
        ]),
      )
    },
  )

  test.each(['midfoot_sprain', 'foot_in_diabetes', 'warm_swollen_foot'])('%s stays off the foot altogether', (id) => {
    const { stations, forbids } = condition(id)
    for (const of of IMPORTANCES.flatMap((importance) => stations[importance]).map(station))
      for (const way of of.ways) expect(setUpOf(footAndAnkle, of, way).position).not.toBe('standing')
    expect(forbids).toContain('walk')
  })

  test.each([
    ['achilles_rupture', { within: 24, unit: 'hours' }], // BJGP 2015: a delay over 24 hours matters
    ['warm_swollen_foot', { within: 1, unit: 'working_days' }], // NICE NG19
    ['foot_in_diabetes', { within: 1, unit: 'working_days' }], // NICE NG19
    ['midfoot_sprain', { within: 2, unit: 'working_days' }], // common practice
    ['stress_fracture', { within: 5, unit: 'working_days' }], // common practice
  ])('%s is seen in person, in time', (id, seeBy) => {
    expect(condition(id).inPerson?.seeBy).toEqual(seeBy)
  })

  test('nothing else is sent to the clinic by its name alone', () => {
    expect(footAndAnkle.conditions.filter(({ inPerson }) => inPerson !== undefined)).toHaveLength(5)
  })
})

test.each(footAndAnkle.conditions.map(({ id }) => id))('%s asks for no thing that none of its stations uses', (id) => {
  const condition = footAndAnkle.conditions.find((each) => each.id === id)
  const used = new Set<string>()
  for (const of of footAndAnkle.stations) {
    if (!IMPORTANCES.some((importance) => condition?.stations[importance].includes(of.id))) continue
    for (const way of of.ways) {
      factsRead(needOf(of, way), used)
      for (const equipment of way.fetch) factsRead(expand({ equipment }, footAndAnkle), used)
    }
  }
  const things = questionsFor(footAndAnkle, {}, id).filter(({ area }) => ['space', 'seat', 'equipment'].includes(area))
  // A safe place is wanted by every visit, stature by the drawings.
  for (const { id: fact, measures } of things)
    if (fact !== 'safe_place' && measures === undefined) expect(used).toContain(fact)
})
