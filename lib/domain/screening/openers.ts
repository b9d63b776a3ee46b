/**
 * What could this household change so that more can be done by video?
 *
 * All sets of up to three changes are tried, so the answer is exact: a set is
 * offered when it reaches a disposition that none of its parts reaches. A change
 * is only ever a thing to fetch or arrange; red flags never depend on one.
 */

import { factsRead, type PlainNeed } from '../protocol/expand.ts'
import type { Facts } from '../protocol/need.ts'
import type { Fact, Importance } from '../protocol/schema.ts'
import { type CaseAtHand, coverageOf, judgeStation, type StationTruth } from './case-at-hand.ts'
import {
  countFlag,
  countHomeRule,
  countStation,
  emptyTally,
  LEADS_TO,
  rungOf,
  type ScreeningPolicy,
  type Tally,
} from './disposition.ts'
import { truthOf } from './evaluate.ts'
import { DISPOSITIONS, type Disposition, type Opener, type Truth } from './screening.ts'

/** The most changes that one opener may ask of a household. */
const MOST_CHANGES = 3

type Change = { fact: Fact; cost: number; to: boolean | number }

/** Every minimal set of changes that moves the disposition up, cheapest first. */
export function findOpeners(subject: CaseAtHand, facts: Facts, policy: ScreeningPolicy): Opener[] {
  // No change at home moves what a flag or the condition itself decided.
  const settled = subject.flags.some(({ when }) => truthOf(when, facts) === 'yes')
  if (settled || subject.condition.inPerson !== undefined) return []
  const changes = changesLeft(subject, facts)
  const judged = judgements(subject, facts, changes)
  const dispositionWith = (mask: number) => LEADS_TO[rungOf(subject.condition, tallyWith(judged, mask), policy)]
  const reached = new Map<number, number>([[0, rank(dispositionWith(0))]])
  const openers: Opener[] = []

  for (const set of setsUpTo(changes.length, MOST_CHANGES)) {
    const disposition = dispositionWith(set.mask)
    // The best that the set less any one change reaches; smaller parts were folded in before.
    const byParts = Math.max(...set.members.map((member) => reached.get(set.mask & ~(1 << member)) ?? 0))
    const now = rank(disposition)
    reached.set(set.mask, Math.max(now, byParts))
    if (now <= byParts) continue
    const made = set.members.map((member) => changes[member]).filter((change) => change !== undefined)
    openers.push({
      facts: made.map(({ fact }) => fact.id),
      cost: made.reduce((sum, { cost }) => sum + cost, 0),
      disposition,
      opens: judged.stations
        .filter(({ with: withChanges }) => withChanges(set.mask).can === 'yes' && withChanges(0).can !== 'yes')
        .map(({ stationId }) => stationId),
      coverage: coverageOf(
        judged.stations.map(({ importance, with: withChanges }) => ({ importance, ...withChanges(set.mask) })),
        subject.protocol.weights,
      ).weighted,
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

/** A part of the case, judged with a set of changes made. */
type Judged<T> = (mask: number) => T
type Judgements = {
  /** The flags, which no change moves: a loaded protocol has none that reads what a household could change. */
  flags: Tally
  homeRules: Judged<Truth>[]
  stations: { stationId: string; importance: Importance; with: Judged<StationTruth> }[]
}

/** Each part is judged once for each set of the changes that it reads, not for each set there is. */
function judgements(subject: CaseAtHand, facts: Facts, changes: readonly Change[]): Judgements {
  const once = <T>(need: PlainNeed, judge: (facts: Facts) => T): Judged<T> => {
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
  const flags = emptyTally()
  for (const { flag, when } of subject.flags) countFlag(flags, flag, truthOf(when, facts))
  return {
    flags,
    homeRules: subject.homeRules.map(({ when }) => once(when, (given) => truthOf(when, given))),
    stations: subject.stations.map((station) => ({
      stationId: station.station.id,
      importance: station.importance,
      with: once(station.whole, (given) => judgeStation(station, given)),
    })),
  }
}

function tallyWith({ flags, homeRules, stations }: Judgements, mask: number): Tally {
  const tally = { ...emptyTally(), raised: flags.raised, safetyOpen: flags.safetyOpen }
  for (const rule of homeRules) countHomeRule(tally, rule(mask))
  for (const station of stations) countStation(tally, station.importance, station.with(mask).can)
  return tally
}

function changed(facts: Facts, changes: readonly Change[], mask: number): Facts {
  const after: Record<string, boolean | number> = { ...facts }
  changes.forEach(({ fact, to }, index) => {
    if (mask & (1 << index)) after[fact.id] = to
  })
  return after
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
