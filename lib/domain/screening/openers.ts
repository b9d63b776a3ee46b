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
import { type CaseAtHand, coverageOf, judgeStation, type StationTruth } from './case-at-hand.ts'
import { decideDisposition, type Findings, type ScreeningPolicy } from './disposition.ts'
import { truthOf } from './evaluate.ts'
import { DISPOSITIONS, type Disposition, type Opener } from './screening.ts'

/** The most changes that one opener may ask of a household. */
const MOST_CHANGES = 3

type Change = { fact: Fact; cost: number; to: boolean | number }

/** Every minimal set of changes that moves the disposition up, cheapest first. */
export function findOpeners(subject: CaseAtHand, facts: Facts, policy: ScreeningPolicy): Opener[] {
  // No change at home moves what a flag or the condition itself decided.
  const settled = subject.flags.some(({ when }) => truthOf(when, facts) === 'yes')
  if (settled || subject.condition.inPerson !== undefined) return []
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
  /** The same whatever is changed: a loaded protocol has no flag that reads what a household could change. */
  flags: Findings['flags']
  homeRules: Cached<Findings['homeRules'][number]>[]
  stations: Cached<Findings['stations'][number] & StationTruth>[]
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
    flags: subject.flags.map(({ flag, when }) => ({ flag, truth: truthOf(when, facts) })),
    homeRules: subject.homeRules.map(({ rule, when }) =>
      cached(when, (given) => ({ rule, truth: truthOf(when, given) })),
    ),
    stations: subject.stations.map((station) =>
      cached(station.whole, (given) => ({
        stationId: station.station.id,
        importance: station.importance,
        ...judgeStation(station, given),
      })),
    ),
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
  const stations = cache.stations.map((station) => station(mask))
  const { disposition } = decideDisposition({
    condition: subject.condition,
    flags: cache.flags,
    homeRules: cache.homeRules.map((rule) => rule(mask)),
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
