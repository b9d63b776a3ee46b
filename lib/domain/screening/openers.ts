/**
 * What could this household change so that more can be done by video?
 *
 * All sets of up to three changes are tried, so the answer is exact: a set is
 * offered when it reaches a disposition that none of its parts reaches. A change
 * is only ever a thing to fetch or arrange; red flags never depend on one.
 */

import { factsRead, type PlainNeed } from '../protocol/expand.ts'
import type { Facts } from '../protocol/need.ts'
import type { Fact } from '../protocol/schema.ts'
import { type CaseAtHand, coverageOf, judgeStation } from './case-at-hand.ts'
import { decideDisposition, type ScreeningPolicy } from './disposition.ts'
import { truthOf } from './evaluate.ts'
import { DISPOSITIONS, type Disposition, type Opener } from './screening.ts'

/** The most changes that one opener may ask of a household. */
export const MOST_CHANGES = 3

type Change = { fact: Fact; cost: number; to: boolean | number }

/** Every minimal set of changes that moves the disposition up, cheapest first. */
export function findOpeners(subject: CaseAtHand, facts: Facts, policy: ScreeningPolicy): Opener[] {
  const changes = changesLeft(subject, facts)
  const cache = judgements(subject, facts, changes)
  const before = decide(subject, cache, 0, policy)
  const reached = new Map<number, number>([[0, rank(before.disposition)]])
  const canBefore = new Set(before.stations.filter(({ can }) => can === 'yes').map(({ stationId }) => stationId))
  const openers: Opener[] = []

  for (const set of setsUpTo(changes.length, MOST_CHANGES)) {
    const after = decide(subject, cache, set.mask, policy)
    // The best that the set less any one change reaches; smaller parts were folded in before.
    const byParts = Math.max(...set.members.map((member) => reached.get(set.mask & ~(1 << member)) ?? 0))
    const now = rank(after.disposition)
    reached.set(set.mask, Math.max(now, byParts))
    if (now <= byParts) continue
    const made = set.members.map((member) => changes[member]).filter((change) => change !== undefined)
    openers.push({
      facts: made.map(({ fact }) => fact.id),
      cost: made.reduce((sum, { cost }) => sum + cost, 0),
      disposition: after.disposition,
      opens: after.stations
        .filter(({ can, stationId }) => can === 'yes' && !canBefore.has(stationId))
        .map(({ stationId }) => stationId),
      coverage: coverageOf(after.stations, subject.protocol.weights).weighted,
    })
  }
  return openers.sort((a, b) => a.cost - b.cost || a.facts.length - b.facts.length || b.coverage - a.coverage)
}

function rank(disposition: Disposition): number {
  return DISPOSITIONS.indexOf(disposition)
}

/** What the household could still change and this condition would notice. */
function changesLeft(subject: CaseAtHand, facts: Facts): Change[] {
  const noticed = new Set<string>()
  for (const { whole } of subject.stations) factsRead(whole, noticed)
  for (const { when } of subject.homeRules) factsRead(when, noticed)
  return subject.protocol.facts.flatMap((fact) => {
    if (fact.change === undefined || !noticed.has(fact.id)) return []
    const { cost, to } = fact.change
    const has = facts[fact.id]
    const isThere = typeof to === 'number' ? typeof has === 'number' && has >= to : has === to
    return isThere ? [] : [{ fact, cost, to }]
  })
}

type Cached<T> = (mask: number) => T
type Judgements = {
  /** A loaded protocol has no flag that reads what a household could change. */
  flags: ReturnType<typeof truthOf>[]
  homeRules: Cached<ReturnType<typeof truthOf>>[]
  stations: Cached<ReturnType<typeof judgeStation>>[]
}

/** Each part is judged once for each set of the changes that it reads, not for each set there is. */
function judgements(subject: CaseAtHand, facts: Facts, changes: readonly Change[]): Judgements {
  const cached = <T>(need: PlainNeed, judge: (facts: Facts) => T): Cached<T> => {
    const reads = factsRead(need)
    const own = changes.reduce((mask, { fact }, index) => (reads.has(fact.id) ? mask | (1 << index) : mask), 0)
    const known = new Map<number, T>()
    return (mask) => {
      const key = mask & own
      let value = known.get(key)
      if (value === undefined) {
        value = judge(key === 0 ? facts : changed(facts, changes, key))
        known.set(key, value)
      }
      return value
    }
  }
  return {
    flags: subject.flags.map(({ when }) => truthOf(when, facts)),
    homeRules: subject.homeRules.map(({ when }) => cached(when, (given) => truthOf(when, given))),
    stations: subject.stations.map((station) => cached(station.whole, (given) => judgeStation(station, given))),
  }
}

function changed(facts: Facts, changes: readonly Change[], mask: number): Facts {
  const after: Record<string, boolean | number> = { ...facts }
  changes.forEach(({ fact, to }, index) => {
    if (mask & (1 << index)) after[fact.id] = to
  })
  return after
}

function decide(subject: CaseAtHand, cache: Judgements, mask: number, policy: ScreeningPolicy) {
  const stations = subject.stations.map(({ station, importance }, index) => ({
    stationId: station.id,
    importance,
    ...(cache.stations[index]?.(mask) ?? { can: 'not_known' as const, way: null }),
  }))
  const { disposition } = decideDisposition({
    condition: subject.condition,
    flags: subject.flags.map(({ flag }, index) => ({ flag, truth: cache.flags[index] ?? 'not_known' })),
    homeRules: subject.homeRules.map(({ rule }, index) => ({
      rule,
      truth: cache.homeRules[index]?.(mask) ?? 'not_known',
    })),
    stations,
    policy,
  })
  return { disposition, stations }
}

/** All sets of one to `most` numbers below `count`, small sets first. */
function setsUpTo(count: number, most: number): { mask: number; members: number[] }[] {
  const sets: { mask: number; members: number[] }[] = []
  let layer: { mask: number; members: number[] }[] = [{ mask: 0, members: [] }]
  for (let size = 1; size <= most; size += 1) {
    layer = layer.flatMap(({ mask, members }) => {
      const grown: typeof layer = []
      for (let next = (members.at(-1) ?? -1) + 1; next < count; next += 1)
        grown.push({ mask: mask | (1 << next), members: [...members, next] })
      return grown
    })
    sets.push(...layer)
  }
  return sets
}
