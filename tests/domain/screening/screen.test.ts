import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Facts } from '#lib/domain/protocol/need.ts'
import { FLAG_LEVELS, type Protocol } from '#lib/domain/protocol/schema.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { DISPOSITIONS, type Disposition } from '#lib/domain/screening/screening.ts'
import { BEST_HOME, without } from './foot-and-ankle-homes.ts'
import { openersByBruteForce } from './openers-brute-force.ts'
import { anyFacts, anyProtocol, sorted } from './random-cases.ts'

const POLICY = { gapsAllowed: false, earlyLookAllowed: true }
const anyPolicy = fc.record({ gapsAllowed: fc.boolean(), earlyLookAllowed: fc.boolean() })
const rank = (disposition: Disposition) => DISPOSITIONS.indexOf(disposition)

function screenFoot(conditionId: string, facts: Facts, policy = POLICY) {
  return screen({ protocol: footAndAnkle, conditionId, side: 'left', facts, policy })
}

function screenRandom(protocol: Protocol, facts: Facts, policy = POLICY) {
  return screen({ protocol, conditionId: 'k', side: 'left', facts, policy })
}

describe('the ladder, on the foot and ankle protocol', () => {
  test('a home that has all: video', () => {
    const screening = screenFoot('pain_unknown', BEST_HOME)
    expect(screening).toMatchObject({ disposition: 'video', rule: 'all_possible', because: [], seeBy: null, ask: [] })
    expect(screening.coverage.weighted).toBe(1)
    expect(screening.openers).toEqual([])
  })

  test('an emergency flag outranks everything else', () => {
    const screening = screenFoot('achilles_rupture', { cold_foot: true, hot_joint: true, accepts_video: false })
    expect(screening).toMatchObject({
      disposition: 'emergency_advice',
      rule: 'emergency_flag',
      because: ['sudden_cold_limb'],
    })
    expect(screening.ask).toEqual([])
    expect(screening.raised.map(({ flagId }) => flagId)).toEqual(['sudden_cold_limb', 'hot_joint'])
  })

  test('a same-day flag goes in person within its time, and still asks for what could be an emergency', () => {
    const screening = screenFoot('heel_pain', { ...without(BEST_HOME, 'cold_foot'), calf_swollen: true })
    expect(screening).toMatchObject({
      disposition: 'urgent_in_person',
      rule: 'urgent_flag',
      because: ['calf_pain_or_swelling'],
      seeBy: { within: 24, unit: 'hours' },
      ask: ['cold_foot'],
      earlyLook: false,
    })
  })

  test('of several time limits the tightest counts', () => {
    const screening = screenFoot('heel_pain', { ...BEST_HOME, calf_swollen: true, diabetes: true, foot_ulcer: true })
    expect(screening.raised.map(({ seeBy }) => seeBy?.unit)).toEqual(['hours', 'working_days'])
    expect(screening.seeBy).toEqual({ within: 24, unit: 'hours' })
  })

  test('suspected Achilles rupture, no helper, a bed: urgent in person with a time, and the gap is explained', () => {
    const screening = screenFoot('achilles_rupture', { ...without(BEST_HOME, 'helper_strong'), helper: false })
    expect(screening).toMatchObject({
      disposition: 'urgent_in_person',
      rule: 'urgent_condition',
      seeBy: { within: 24, unit: 'hours' },
      earlyLook: false,
    })
    expect(screening.stations.find(({ stationId }) => stationId === 'calf_squeeze')).toMatchObject({
      can: 'no',
      way: null,
      closedBy: [{ kind: 'way', facts: ['helper'] }],
    })
  })

  test('with a helper and a bed it may carry an early look, which changes nothing else', () => {
    const withFlag = screenFoot('achilles_rupture', { ...BEST_HOME, heel_snap: true })
    expect(withFlag).toMatchObject({
      disposition: 'urgent_in_person',
      earlyLook: true,
      seeBy: { within: 24, unit: 'hours' },
    })
    expect(screenFoot('achilles_rupture', BEST_HOME).earlyLook).toBe(true)
  })

  test.each([
    ['the clinic does not allow it', BEST_HOME, { gapsAllowed: true, earlyLookAllowed: false }],
    ['another flag is raised', { ...BEST_HOME, hot_joint: true }, POLICY],
    ['a flag is not known', without(BEST_HOME, 'cold_foot'), POLICY],
    ['the place is not private', { ...BEST_HOME, safe_place: false }, POLICY],
    ['there is no bed', { ...BEST_HOME, couch: false }, POLICY],
  ])('no early look when %s', (_, facts, policy) => {
    expect(screenFoot('achilles_rupture', facts, policy).earlyLook).toBe(false)
  })

  test('a declined video, an unsafe place or no camera: in person', () => {
    expect(screenFoot('heel_pain', { ...BEST_HOME, accepts_video: false })).toMatchObject({
      disposition: 'in_person',
      rule: 'unsafe_at_home',
      because: ['declines_video'],
    })
    expect(screenFoot('heel_pain', { ...BEST_HOME, safe_place: false, has_camera: false }).homeRules).toEqual([
      'no_safe_place',
      'no_camera',
    ])
  })

  test('an essential station that is impossible: in person, or video with gaps where the clinic allows it', () => {
    const shortLane = { ...BEST_HOME, lane_m: 2 }
    expect(screenFoot('flat_foot', shortLane)).toMatchObject({
      disposition: 'in_person',
      rule: 'essential_impossible',
      because: ['walk'],
    })
    expect(screenFoot('flat_foot', shortLane, { ...POLICY, gapsAllowed: true })).toMatchObject({
      disposition: 'video_with_gaps',
      rule: 'essential_impossible_gap_allowed',
      because: ['walk'],
    })
  })

  test('gaps are never allowed while a safety answer is missing, nor when nothing essential is left', () => {
    const gaps = { ...POLICY, gapsAllowed: true }
    expect(screenFoot('flat_foot', { ...without(BEST_HOME, 'hot_joint'), lane_m: 2 }, gaps).rule).toBe(
      'safety_not_known',
    )
    expect(screenFoot('flat_foot', { ...BEST_HOME, not_weight_bearing: true }, gaps)).toMatchObject({
      disposition: 'in_person',
      rule: 'essential_impossible',
    })
  })

  test('a missing safety answer asks again, and names the question', () => {
    expect(screenFoot('heel_pain', without(BEST_HOME, 'red_spreading'))).toMatchObject({
      disposition: 'ask_again',
      rule: 'safety_not_known',
      because: ['red_spreading'],
      ask: ['red_spreading'],
    })
  })

  test('a missing answer about an essential station asks the least that decides it', () => {
    const screening = screenFoot('flat_foot', without(BEST_HOME, 'camera_prop', 'fell'))
    expect(screening).toMatchObject({ disposition: 'ask_again', rule: 'essential_not_known', ask: ['camera_prop'] })
  })

  test('nothing known: ask again, and every safety question is among those asked', () => {
    const screening = screenFoot('pain_unknown', {})
    expect(screening).toMatchObject({ disposition: 'ask_again', rule: 'safety_not_known' })
    expect(screening.ask).toEqual(
      expect.arrayContaining(['cold_foot', 'chest_or_breath', 'calf_swollen', 'accepts_video']),
    )
    expect(screening.stations.some(({ way }) => way?.helper === true)).toBe(false)
  })

  test('flat foot, no helper, no strap, a stool, 6 m: video with named gaps, and the opener names the helper', () => {
    const home = {
      ...without(BEST_HOME, 'helper_strong'),
      helper: false,
      strap: false,
      towel: false,
      lane_m: 6,
      seat_cm: 60,
    }
    const screening = screenFoot('flat_foot', home)
    expect(screening).toMatchObject({
      disposition: 'video_with_gaps',
      rule: 'useful_missing',
      because: ['strength_inner'],
    })
    expect(screening.openers).toEqual([
      expect.objectContaining({ facts: ['helper', 'helper_strong'], disposition: 'video', opens: ['strength_inner'] }),
    ])
  })
})

describe('standing', () => {
  const standing = ['walk', 'posture_behind', 'heel_raise_single']
  const canStand = (facts: Facts) =>
    screenFoot('flat_foot', facts).stations.filter(
      ({ stationId, can }) => standing.includes(stationId) && can === 'yes',
    )

  test.each(['fell', 'unsteady', 'worries_falling', 'lost_feeling', 'dizzy'])(
    '"%s" closes every standing station without a helper and something to hold',
    (risk) => {
      expect(canStand({ ...BEST_HOME, [risk]: true, helper: false, helper_strong: false })).toEqual([])
      expect(canStand({ ...BEST_HOME, [risk]: true, support: false })).toEqual([])
      const guarded = canStand({ ...BEST_HOME, [risk]: true })
      expect(guarded).toHaveLength(3)
      expect(guarded.every(({ way }) => way?.helper)).toBe(true)
    },
  )

  test('not weight-bearing closes every standing station, whoever is there', () => {
    expect(canStand({ ...BEST_HOME, not_weight_bearing: true })).toEqual([])
  })

  test.each(['not_weight_bearing', 'fell', 'unsteady', 'worries_falling', 'lost_feeling', 'dizzy'])(
    'a missing answer to "%s" leaves every standing station closed to a person alone',
    (id) => {
      expect(canStand({ ...without(BEST_HOME, id), helper: false, helper_strong: false })).toEqual([])
    },
  )
})

describe('laws', () => {
  test('one more raised flag never lowers the urgency', () => {
    fc.assert(
      fc.property(
        anyProtocol,
        anyFacts,
        anyPolicy,
        fc.constantFrom(...FLAG_LEVELS),
        (protocol, facts, policy, level) => {
          const flag = {
            id: 'extra',
            level,
            title: 'x',
            when: { all: [] },
            ...(level !== 'emergency' && { seeBy: { within: 1, unit: 'days' as const } }),
            advice: { en: 'x', es: 'x' },
            source: 'test',
          }
          const flagged = { ...protocol, redFlags: [...protocol.redFlags, flag] }
          const before = screenRandom(protocol, facts, policy).disposition
          expect(rank(screenRandom(flagged, facts, policy).disposition)).toBeLessThanOrEqual(rank(before))
        },
      ),
    )
  })

  // Being able to take four steps is the one answer in this area that is good news.
  const symptoms = footAndAnkle.facts
    .filter(({ area, id }) => area === 'red_flags' && !id.startsWith('four_steps'))
    .map(({ id }) => id)
  const anyHome = fc
    .tuple(...footAndAnkle.facts.map(() => fc.constantFrom('best', 'other', 'none')))
    .map((picks): Facts => {
      const known = footAndAnkle.facts.flatMap(({ id, kind }, index): [string, boolean | number][] => {
        const best = BEST_HOME[id]
        if (picks[index] === 'none' || best === undefined) return []
        return [[id, picks[index] === 'best' ? best : kind === 'number' ? 1 : !best]]
      })
      return Object.fromEntries(known)
    })
  const mostlyBest = anyHome.chain((home) =>
    fc.subarray(Object.keys(home), { maxLength: 6 }).map(
      (ids): Facts => ({
        ...BEST_HOME,
        ...Object.fromEntries(ids.map((id) => [id, home[id] ?? false])),
      }),
    ),
  )

  test('one more symptom never lowers the urgency', () => {
    fc.assert(
      fc.property(
        fc.oneof(anyHome, mostlyBest),
        fc.constantFrom(...symptoms),
        fc.constantFrom(...footAndAnkle.conditions.map(({ id }) => id)),
        anyPolicy,
        (home, symptom, conditionId, policy) => {
          const before = screenFoot(conditionId, { ...home, [symptom]: false }, policy).disposition
          const notKnown = screenFoot(conditionId, without(home, symptom), policy).disposition
          const after = screenFoot(conditionId, { ...home, [symptom]: true }, policy).disposition
          expect(rank(after)).toBeLessThanOrEqual(rank(before))
          if (notKnown !== 'ask_again') expect(rank(after)).toBeLessThanOrEqual(rank(notKnown))
        },
      ),
      { numRuns: 150 },
    )
  })

  test('forgetting never clears: what little is known allows, more knowledge allows too', () => {
    fc.assert(
      fc.property(anyProtocol, anyFacts, anyFacts, anyPolicy, (protocol, less, extra, policy) => {
        const poor = screenRandom(protocol, less, policy)
        const rich = screenRandom(protocol, { ...extra, ...less }, policy)
        if (poor.disposition === 'video') expect(rich.disposition).toBe('video')
        if (poor.disposition === 'video_with_gaps')
          expect(rank(rich.disposition)).toBeGreaterThanOrEqual(rank('video_with_gaps'))
        // And what is found in person or graver is never softened by learning more.
        if (rank(poor.disposition) < rank('ask_again'))
          expect(rank(rich.disposition)).toBeLessThanOrEqual(rank(poor.disposition))
        for (const station of poor.stations)
          if (station.can !== 'not_known')
            expect(rich.stations.find(({ stationId }) => stationId === station.stationId)?.can).toBe(station.can)
      }),
      { numRuns: 400 },
    )
  })

  test('the best way is the most informative one that is surely possible', () => {
    fc.assert(
      fc.property(anyProtocol, anyFacts, (protocol, facts) => {
        const whole = screenRandom(protocol, facts)
        for (const { stationId, way } of whole.stations) {
          if (way === null) continue
          const station = protocol.stations.find(({ id }) => id === stationId)
          for (const other of station?.ways ?? []) {
            if (other.value <= way.value) continue
            const alone = {
              ...protocol,
              stations: protocol.stations.map((each) => (each.id === stationId ? { ...each, ways: [other] } : each)),
            }
            expect(screenRandom(alone, facts).stations.find((each) => each.stationId === stationId)?.can).not.toBe(
              'yes',
            )
          }
        }
      }),
    )
  })
})

describe('openers', () => {
  const plain = (openers: ReturnType<typeof openersByBruteForce>) =>
    sorted(
      openers.map((each) => [...each.facts, each.disposition, `${each.cost}`, each.coverage.toFixed(9), ...each.opens]),
    )

  test('are exactly what trying every set of changes finds', () => {
    fc.assert(
      fc.property(anyProtocol, anyFacts, anyPolicy, (protocol, facts, policy) => {
        const input = { protocol, conditionId: 'k', side: 'left' as const, facts, policy }
        expect(plain(screen(input).openers)).toEqual(plain(openersByBruteForce(input)))
      }),
      { numRuns: 300 },
    )
  })

  test('come cheapest first', () => {
    fc.assert(
      fc.property(anyProtocol, anyFacts, (protocol, facts) => {
        const costs = screenRandom(protocol, facts).openers.map(({ cost }) => cost)
        expect(costs).toEqual([...costs].sort((a, b) => a - b))
      }),
    )
  })

  test('one part of an opener done, the rest of it is still an opener to the same disposition', () => {
    fc.assert(
      fc.property(anyProtocol, anyFacts, anyPolicy, (protocol, facts, policy) => {
        for (const opener of screenRandom(protocol, facts, policy).openers)
          for (const id of opener.facts) {
            const rest = opener.facts.filter((other) => other !== id)
            const to = protocol.facts.find((fact) => fact.id === id)?.change?.to
            if (rest.length === 0 || to === undefined) continue
            const after = screenRandom(protocol, { ...facts, [id]: to }, policy).openers
            expect(after).toContainEqual(expect.objectContaining({ facts: rest, disposition: opener.disposition }))
          }
      }),
    )
  })
})
