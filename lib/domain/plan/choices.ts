/**
 * What may a clinician change about an exam, and what comes of it?
 *
 * Any station of the protocol may be added, left out, or done in another way, as long as it is surely safe and surely
 * possible at this home: what is not known counts as closed here as everywhere. A choice is kept when the answers change;
 * where its way closes the best that is left takes its place, and where safety closes the station it goes, whatever anybody
 * chose. The screening itself, with its disposition, stays the engine's.
 */
import { expand } from '../protocol/expand.ts'
import type { Facts } from '../protocol/need.ts'
import type { Importance, Protocol, Station } from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import { caseAtHand } from '../screening/case-at-hand.ts'
import { evaluate, truthOf } from '../screening/evaluate.ts'
import type { Screening, Truth } from '../screening/screening.ts'

/** By station: the way it is done in, or null = left out. Stations that are not named stay the engine's. */
export type Choices = Readonly<Record<string, string | null>>

export type WayOption = {
  wayId: string
  say: string
  helper: boolean
  misses: string | null
  can: Truth
}

export type StationOption = {
  stationId: string
  title: string
  /** Null = the suspected condition does not ask for it. */
  importance: Importance | null
  /** Surely safe here; only then may it be chosen. */
  isSafe: boolean
  /** Why it can't be done at all, in a few words; null = it can. */
  closed: string | null
  /** Best first. */
  ways: WayOption[]
  /** What the engine does by itself; null = it leaves it out. */
  engine: string | null
}

/** Every station of the protocol with its ways, as they stand for these facts: first those that the condition asks for. */
export function stationOptions(protocol: Protocol, conditionId: string, facts: Facts): StationOption[] {
  const { condition, stations: asked } = caseAtHand(protocol, conditionId)
  const importanceOf = new Map(asked.map(({ station, importance }) => [station.id, importance]))
  const others = protocol.stations.filter(({ id }) => !importanceOf.has(id))
  return [...asked.map(({ station }) => station), ...others].map((station) => {
    const importance = importanceOf.get(station.id) ?? null
    const safety = evaluate(station.safety, facts, protocol)
    const isForbidden = condition.forbids.includes(station.id)
    const isSafe = !isForbidden && safety.truth === 'yes'
    const ways = waysOf(protocol, station, facts)
    const best = ways.find(({ can }) => can === 'yes')
    return {
      stationId: station.id,
      title: station.title,
      importance,
      isSafe,
      closed: isForbidden
        ? 'not at home while this is suspected'
        : safety.truth !== 'yes'
          ? `${safety.truth === 'no' ? 'not safe' : 'not known to be safe'}: ${labels(protocol, safety.reasons[0])}`
          : best === undefined
            ? `no way to do it: ${whyNoWay(protocol, station, facts)}`
            : null,
      ways,
      engine: importance !== null && isSafe && best ? best.wayId : null,
    }
  })
}

function waysOf(protocol: Protocol, station: Station, facts: Facts): WayOption[] {
  return station.ways
    .toSorted((a, b) => b.value - a.value)
    .map((way) => ({
      wayId: way.id,
      say: way.id.replaceAll('_', ' '),
      helper: way.helper,
      misses: way.misses ?? null,
      can: truthOf(expand({ all: [setUpOf(protocol, station, way).needs, way.needs] }, protocol), facts),
    }))
}

function whyNoWay(protocol: Protocol, station: Station, facts: Facts): string {
  const [way] = station.ways
  if (way === undefined) return 'none is known'
  const { reasons } = evaluate({ all: [setUpOf(protocol, station, way).needs, way.needs] }, facts, protocol)
  return labels(protocol, reasons[0])
}

function labels(protocol: Protocol, factIds: readonly string[] = []): string {
  return factIds.map((id) => protocol.facts.find((fact) => fact.id === id)?.label ?? id).join(', ')
}

/** Choices that may not be made now, by station. */
export type RefusedChoice = { stationId: string; why: 'unknown_station' | 'unknown_way' | 'not_safe' | 'not_possible' }

/** Holds choices against what is safe and possible: empty = all of them may be made. Leaving out is always allowed. */
export function refuseChoices(choices: Choices, options: readonly StationOption[]): RefusedChoice[] {
  return Object.entries(choices).flatMap(([stationId, wayId]): RefusedChoice[] => {
    const option = options.find((each) => each.stationId === stationId)
    if (option === undefined) return [{ stationId, why: 'unknown_station' }]
    if (wayId === null) return []
    if (!option.isSafe) return [{ stationId, why: 'not_safe' }]
    const way = option.ways.find((each) => each.wayId === wayId)
    if (way === undefined) return [{ stationId, why: 'unknown_way' }]
    return way.can === 'yes' ? [] : [{ stationId, why: 'not_possible' }]
  })
}

/** The screening's stations as they will be done: choices where they still hold, the engine's answer everywhere else. */
export function withChoices(protocol: Protocol, screening: Screening, choices: Choices): Screening {
  if (Object.keys(choices).length === 0) return screening
  const options = new Map(
    stationOptions(protocol, screening.conditionId, screening.facts).map((option) => [option.stationId, option]),
  )
  const asked = new Map(screening.stations.map((station) => [station.stationId, station]))
  const wanted = Object.entries(choices).filter(([stationId]) => options.has(stationId))
  const added = wanted.flatMap(([stationId, wayId]) => {
    const option = options.get(stationId)
    if (wayId === null || !option?.isSafe) return []
    const possible = option.ways.filter(({ can }) => can === 'yes')
    const way = possible.find((each) => each.wayId === wayId) ?? possible[0]
    if (way === undefined) return []
    const value = protocol.stations.find(({ id }) => id === stationId)?.ways.find(({ id }) => id === way.wayId)?.value
    return [
      {
        stationId,
        importance: asked.get(stationId)?.importance ?? ('optional' as const),
        can: 'yes' as const,
        way: { id: way.wayId, value: value ?? 0, helper: way.helper },
        closedBy: [],
        unknown: [],
      },
    ]
  })
  const decided = new Set(wanted.map(([stationId]) => stationId))
  return {
    ...screening,
    stations: [...screening.stations.filter(({ stationId }) => !decided.has(stationId)), ...added],
  }
}

/** Only what differs from the engine: a choice that says the same is none, and follows the engine from then on. */
export function tidyChoices(choices: Choices, options: readonly StationOption[]): Choices {
  const differs = ([stationId, wayId]: [string, string | null]) =>
    options.find((option) => option.stationId === stationId)?.engine !== wayId
  return Object.fromEntries(
    Object.entries(choices)
      .filter(differs)
      .toSorted(([a], [b]) => (a < b ? -1 : 1)),
  )
}
