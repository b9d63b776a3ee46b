/**
 * Where do the numbers and rules of one screening come from? Whoever reads a limit, a share or a minute can follow it to
 * its citation, to "common practice" or to the clinic's own policy.
 */
import { expand, factsRead } from '../protocol/expand.ts'
import type { Protocol } from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import type { Screening } from './screening.ts'

/** A source as it is cited, and what of this screening rests on it. */
export type CitedSource = { source: string; restOnIt: string[] }

/** The sources of one screening under its protocol, in the order in which a reader meets what rests on them. */
export function sourcesOf(screening: Screening, protocol: Protocol, visitSource: string): CitedSource[] {
  const found = new Map<string, string[]>()
  const cite = (source: string, what: string) => {
    const known = found.get(source) ?? []
    if (!known.includes(what)) found.set(source, [...known, what])
  }
  const condition = protocol.conditions.find(({ id }) => id === screening.conditionId)
  if (condition) cite(condition.source, condition.title)
  for (const { flagId } of screening.raised) {
    const flag = protocol.redFlags.find(({ id }) => id === flagId)
    if (flag) cite(flag.source, flag.title)
  }
  for (const ruleId of screening.homeRules) {
    const rule = protocol.homeRules.find(({ id }) => id === ruleId)
    if (rule) cite(rule.source, rule.title)
  }
  const read = new Set<string>()
  for (const { stationId } of screening.stations) {
    const station = protocol.stations.find(({ id }) => id === stationId)
    if (!station) continue
    cite(station.source, station.title)
    const setUps = [...new Set(station.ways.map((way) => setUpOf(protocol, station, way)))]
    for (const setUp of setUps) cite(setUp.source, `set-up: ${setUp.title.en}`)
    factsRead(expand({ all: [station.safety, ...station.ways.map(({ needs }) => needs)] }, protocol), read)
  }
  for (const fact of protocol.facts) if (read.has(fact.id)) cite(fact.source, fact.label)
  for (const { title, when, source } of protocol.derived)
    if ([...factsRead(expand(when, protocol))].some((id) => read.has(id))) cite(source, title)
  cite(protocol.weights.source, 'weights of the coverage')
  cite(protocol.costs.source, 'seconds between stations')
  cite(visitSource, 'minutes for history and talk, grain of a visit')
  for (const { source, what } of DRAWN_FROM) cite(source, what)
  return [...found].map(([source, restOnIt]) => ({ source, restOnIt }))
}

/** What the drawings are measured with; `lib/domain/geometry` says more beside each value. */
const DRAWN_FROM = [
  { source: 'Drillis R, Contini R. Body Segment Parameters, New York University 1966', what: 'heights of the joints' },
  { source: 'Murray MP et al. 1964 (men), 1970 (women)', what: 'length of a step' },
  { source: 'Emara AK et al. JBJS Rev 2021;9(9)', what: 'least distance of a steady camera' },
  {
    source: 'a narrow telephone camera, 60 degrees on its long side (from memory); common practice',
    what: 'what the camera sees',
  },
] as const
