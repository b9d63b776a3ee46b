/**
 * Which answers can still change something?
 *
 * Judged on what the household can't change: what it could fetch or arrange counts as open, so that what would help can
 * still be said. The law: whatever is answered to a question left out, the decision and what each station comes to are the
 * same.
 */
import { expand, type PlainNeed } from '../protocol/expand.ts'
import { type Facts, partsOf } from '../protocol/need.ts'
import type { Protocol } from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import { type CaseStation, caseAtHand } from './case-at-hand.ts'
import { truthOf } from './evaluate.ts'

/** By id, the facts whose answer can still change something for this condition. */
export function factsStillOpen(protocol: Protocol, conditionId: string, known: Facts): Set<string> {
  const subject = caseAtHand(protocol, conditionId)
  const facts = whateverChanges(protocol, known)
  const open = new Set<string>()
  for (const { when } of subject.flags) gather(when, facts, open)
  // Who is surely not examined at home is asked nothing more about it.
  if (subject.homeRules.some(({ when }) => truthOf(when, facts) === 'yes')) return withConditions(protocol, facts, open)
  for (const { when } of subject.homeRules) gather(when, facts, open)
  for (const station of subject.stations) gatherStation(protocol, station, facts, open)
  return withConditions(protocol, facts, open)
}

/** What is known and stays so whatever the household does. */
function whateverChanges(protocol: Protocol, known: Facts): Facts {
  const changeable = new Map(protocol.facts.flatMap(({ id, change }) => (change ? [[id, change.to] as const] : [])))
  return Object.fromEntries(
    Object.entries(known).filter(([id, value]) => {
      const to = changeable.get(id)
      if (to === undefined) return true
      return typeof to === 'number' ? typeof value === 'number' && value >= to : value === to
    }),
  )
}

function gatherStation(protocol: Protocol, station: CaseStation, facts: Facts, open: Set<string>): void {
  if (station.forbidden || truthOf(station.whole, facts) === 'no') return
  gather(station.safety, facts, open)
  for (const { way, needs } of station.ways) {
    const truth = truthOf(needs, facts)
    if (truth === 'no') continue
    gather(needs, facts, open)
    // A phone that stands by itself stands as far away as the patient is tall for.
    if (!setUpOf(protocol, station.station, way).camera.handheld)
      for (const { id, measures } of protocol.facts) if (measures === 'stature') open.add(id)
    for (const equipment of way.fetch) gather(expand({ equipment }, protocol), facts, open)
    // Of the ways that come after one that is surely there, none is taken.
    if (truth === 'yes') return
  }
}

/** The facts that an undecided need waits for. */
function gather(need: PlainNeed, facts: Facts, open: Set<string>): void {
  if (truthOf(need, facts) !== 'not_known') return
  if ('fact' in need) open.add(need.fact)
  else for (const part of partsOf(need)) gather(part, facts, open)
}

/** A question that decides whether an open one is asked is open too. */
function withConditions(protocol: Protocol, facts: Facts, open: Set<string>): Set<string> {
  for (let before = -1; before !== open.size; ) {
    before = open.size
    for (const { id, askWhen } of protocol.facts)
      if (askWhen !== undefined && open.has(id)) gather(expand(askWhen, protocol), facts, open)
  }
  return open
}
