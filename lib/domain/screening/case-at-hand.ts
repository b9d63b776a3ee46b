/**
 * One referral's protocol parts, ready to be judged against different facts.
 *
 * Screening judges the facts as they are; openers judge the same case again with
 * a few facts changed. Both must use the very same rules, so they share this.
 */
import { invariant } from '#lib/base/invariant.ts'
import { expand, type PlainNeed } from '../protocol/expand.ts'
import type { Facts } from '../protocol/need.ts'
import {
  type Condition,
  type HomeRule,
  IMPORTANCES,
  type Importance,
  type Protocol,
  type RedFlag,
  type Station,
  type Way,
} from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import { truthOf } from './evaluate.ts'
import type { Coverage, Truth } from './screening.ts'

/** A station of the condition, with its needs in asked facts. */
export type CaseStation = {
  station: Station
  importance: Importance
  forbidden: boolean
  safety: PlainNeed
  /** In order of preference: highest value first, then the protocol's order. */
  ways: readonly { way: Way; setUp: PlainNeed; needs: PlainNeed }[]
  whole: PlainNeed
}

/** All that a condition asks of a home. */
export type CaseAtHand = {
  protocol: Protocol
  condition: Condition
  flags: readonly { flag: RedFlag; when: PlainNeed }[]
  homeRules: readonly { rule: HomeRule; when: PlainNeed }[]
  stations: readonly CaseStation[]
}

/** Can a station be done, and in which way? */
export type StationTruth = { can: Truth; way: Way | null }

const prepared = new WeakMap<Protocol, Map<string, CaseAtHand>>()

/** Gathers a condition's parts; worked out once for each loaded protocol. */
export function caseAtHand(protocol: Protocol, conditionId: string): CaseAtHand {
  const ofProtocol = prepared.get(protocol) ?? new Map<string, CaseAtHand>()
  prepared.set(protocol, ofProtocol)
  let found = ofProtocol.get(conditionId)
  if (found === undefined) {
    found = gather(protocol, conditionId)
    ofProtocol.set(conditionId, found)
  }
  return found
}

function gather(protocol: Protocol, conditionId: string): CaseAtHand {
  const condition = protocol.conditions.find((each) => each.id === conditionId)
  invariant(condition, `the protocol has the condition "${conditionId}"`)
  const stations = IMPORTANCES.flatMap((importance) =>
    protocol.stations
      .filter((station) => condition.stations[importance].includes(station.id))
      .map((station): CaseStation => {
        const safety = expand(station.safety, protocol)
        const ways = station.ways
          .map((way) => {
            const setUp = expand(setUpOf(protocol, station, way).needs, protocol)
            return { way, setUp, needs: { all: [setUp, expand(way.needs, protocol)] } }
          })
          .sort((a, b) => b.way.value - a.way.value)
        const whole = { all: [safety, { any: ways.map(({ needs }) => needs) }] }
        return { station, importance, forbidden: condition.forbids.includes(station.id), safety, ways, whole }
      }),
  )
  return {
    protocol,
    condition,
    flags: protocol.redFlags.map((flag) => ({ flag, when: expand(flag.when, protocol) })),
    homeRules: protocol.homeRules.map((rule) => ({ rule, when: expand(rule.when, protocol) })),
    stations,
  }
}

/** Whether a station can be done, and the best way that is surely possible. */
export function judgeStation(station: CaseStation, facts: Facts): StationTruth {
  if (station.forbidden) return { can: 'no', way: null }
  const can = truthOf(station.whole, facts)
  if (can !== 'yes') return { can, way: null }
  const best = station.ways.find(({ needs }) => truthOf(needs, facts) === 'yes')
  invariant(best, 'a station that can be done has a way')
  return { can, way: best.way }
}

/** How much of the exam can be done, weighted and counted. */
export function coverageOf(
  stations: readonly { importance: Importance; can: Truth; way: { value: number } | null }[],
  weights: Protocol['weights'],
): Coverage {
  const coverage: Coverage = {
    weighted: 0,
    essential: { can: 0, of: 0 },
    useful: { can: 0, of: 0 },
    optional: { can: 0, of: 0 },
  }
  let gained = 0
  let whole = 0
  for (const { importance, can, way } of stations) {
    const weight = weights[importance]
    whole += weight
    coverage[importance].of += 1
    if (can !== 'yes' || way === null) continue
    gained += weight * way.value
    coverage[importance].can += 1
  }
  coverage.weighted = whole === 0 ? 0 : gained / whole
  return coverage
}
