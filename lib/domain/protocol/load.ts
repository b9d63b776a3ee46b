/**
 * May this document be used on patients at all?
 *
 * A protocol is edited by people. One that points at nothing, repeats itself or
 * can never be followed is refused with every fault named at once, so that it is
 * mended in one go and a gap never shows up in the middle of a visit.
 */
import { err, ok, type Result } from '#lib/base/result.ts'
import { cubes, unanswered } from '../screening/evaluate.ts'
import { expand, type PlainNeed } from './expand.ts'
import { type Need, partsOf } from './need.ts'
import { type Fact, IMPORTANCES, type Protocol, protocolSchema } from './schema.ts'
import { setUpOf } from './set-up-of.ts'

export type ProtocolFault = { path: string; message: string }

/** Openers try sets of these, kept as bits of one number. */
const MOST_CHANGEABLE_FACTS = 30

/** Checks a document; a shape that can't be read is told first, everything else about the meaning together. */
export function loadProtocol(document: unknown): Result<Protocol, ProtocolFault[]> {
  const parsed = protocolSchema.safeParse(document)
  if (!parsed.success)
    return err(parsed.error.issues.map(({ path, message }) => ({ path: path.map(String).join('.'), message })))
  const faults = faultsOf(parsed.data)
  return faults.length > 0 ? err(faults) : ok(parsed.data)
}

function faultsOf(protocol: Protocol): ProtocolFault[] {
  const faults: ProtocolFault[] = []
  const fault = (path: string, message: string) => faults.push({ path, message })
  const factOf = new Map(protocol.facts.map((fact) => [fact.id, fact]))
  const derivedOf = new Map(protocol.derived.map((derived) => [derived.id, derived]))
  const equipmentIds = ids(protocol.equipment)
  const setUpIds = ids(protocol.setUps)
  const stationIds = ids(protocol.stations)
  const conditionIds = ids(protocol.conditions)

  for (const list of [
    'facts',
    'derived',
    'equipment',
    'setUps',
    'stations',
    'conditions',
    'redFlags',
    'homeRules',
  ] as const)
    noRepeats(
      protocol[list].map(({ id }) => id),
      (index, id) => fault(`${list}.${index}.id`, `"${id}" is there twice`),
    )
  protocol.derived.forEach(({ id }, index) => {
    if (factOf.has(id)) fault(`derived.${index}.id`, `"${id}" is a fact already`)
  })

  if (factOf.get(protocol.helperFact)?.kind !== 'yes_no')
    fault('helperFact', `"${protocol.helperFact}" is not a yes-or-no fact`)

  // What needs read, and whether it exists.
  const readFacts = new Set<string>()
  const usedEquipment = new Set<string>()
  const walk = (need: Need, path: string): void => {
    if ('all' in need) for (const [index, part] of need.all.entries()) walk(part, `${path}.all.${index}`)
    else if ('any' in need) for (const [index, part] of need.any.entries()) walk(part, `${path}.any.${index}`)
    else if ('not' in need) walk(need.not, `${path}.not`)
    else if ('of' in need) {
      for (const [index, { when }] of need.of.entries()) walk(when, `${path}.of.${index}.when`)
      const most = need.of.reduce((sum, { points }) => sum + Math.max(points, 0), 0)
      const least = need.of.reduce((sum, { points }) => sum + Math.min(points, 0), 0)
      if (need.atLeastPoints > most) fault(`${path}.atLeastPoints`, `its items give ${most} points at the most`)
      if (need.atLeastPoints <= least) fault(`${path}.atLeastPoints`, `is always reached: the least is ${least}`)
    } else if ('equipment' in need) {
      usedEquipment.add(need.equipment)
      if (!equipmentIds.has(need.equipment)) fault(path, `no equipment "${need.equipment}"`)
    } else {
      readFacts.add(need.fact)
      const wrong = misreads(need, factOf.get(need.fact), derivedOf.has(need.fact))
      if (wrong !== null) fault(path, wrong)
    }
  }
  for (const [index, { askWhen }] of protocol.facts.entries()) if (askWhen) walk(askWhen, `facts.${index}.askWhen`)
  for (const [index, { when }] of protocol.derived.entries()) walk(when, `derived.${index}.when`)
  for (const [index, { needs }] of protocol.setUps.entries()) walk(needs, `setUps.${index}.needs`)
  for (const [index, station] of protocol.stations.entries()) {
    walk(station.safety, `stations.${index}.safety`)
    for (const [at, way] of station.ways.entries()) {
      walk(way.needs, `stations.${index}.ways.${at}.needs`)
      for (const [place, id] of way.fetch.entries()) {
        usedEquipment.add(id)
        if (!equipmentIds.has(id)) fault(`stations.${index}.ways.${at}.fetch.${place}`, `no equipment "${id}"`)
      }
    }
  }
  for (const [index, { when }] of protocol.redFlags.entries()) walk(when, `redFlags.${index}.when`)
  for (const [index, { when }] of protocol.homeRules.entries()) walk(when, `homeRules.${index}.when`)
  for (const [index, equipment] of protocol.equipment.entries())
    for (const [at, { fact }] of equipment.anyOf.entries()) {
      if (usedEquipment.has(equipment.id)) readFacts.add(fact)
      if (factOf.get(fact)?.kind !== 'yes_no')
        fault(`equipment.${index}.anyOf.${at}.fact`, `no yes-or-no fact "${fact}"`)
    }

  // Facts.
  protocol.facts.forEach((fact, index) => {
    const path = `facts.${index}`
    if (!readFacts.has(fact.id) && fact.measures === undefined) fault(path, `nothing reads "${fact.id}"`)
    if (fact.measures === 'stature') {
      if (fact.unit !== 'cm') fault(`${path}.unit`, 'stature is measured in cm')
      const first = protocol.facts.findIndex(({ measures }) => measures === 'stature')
      if (first !== index) fault(`${path}.measures`, `"${protocol.facts[first]?.id}" measures stature already`)
    }
    if (fact.kind === 'number') {
      for (const part of ['unit', 'min', 'max'] as const)
        if (fact[part] === undefined) fault(`${path}.${part}`, `the number "${fact.id}" has no ${part}`)
      if (fact.min !== undefined && fact.max !== undefined && fact.min >= fact.max)
        fault(`${path}.max`, 'is not above min')
    }
    if (fact.change !== undefined && (typeof fact.change.to === 'number') !== (fact.kind === 'number'))
      fault(`${path}.change.to`, `is not a ${fact.kind === 'number' ? 'number' : 'yes or no'}`)
  })
  if (protocol.facts.filter(({ change }) => change !== undefined).length > MOST_CHANGEABLE_FACTS)
    fault('facts', `more than ${MOST_CHANGEABLE_FACTS} facts that a household can change`)
  protocol.derived.forEach(({ id }, index) => {
    if (!readFacts.has(id)) fault(`derived.${index}`, `nothing reads "${id}"`)
  })
  protocol.equipment.forEach(({ id }, index) => {
    if (!usedEquipment.has(id)) fault(`equipment.${index}`, `no way uses "${id}"`)
  })

  // Stations and set-ups.
  protocol.setUps.forEach(({ id, position, support }, index) => {
    const path = `setUps.${index}.support`
    if (position === 'lying' && support === undefined) fault(path, 'says how high the bed is')
    if (position === 'standing' && support !== undefined) fault(path, 'nobody stands on a seat')
    if (support?.answeredIn !== undefined && factOf.get(support.answeredIn)?.unit !== 'cm')
      fault(`${path}.answeredIn`, `no fact "${support.answeredIn}" in cm`)
    if (!protocol.stations.some(({ setUp, ways }) => setUp === id || ways.some((way) => way.setUp === id)))
      fault(`setUps.${index}`, `no station uses "${id}"`)
  })
  protocol.stations.forEach((station, index) => {
    const path = `stations.${index}`
    if (!setUpIds.has(station.setUp)) fault(`${path}.setUp`, `no set-up "${station.setUp}"`)
    if (
      !protocol.conditions.some(({ stations }) =>
        IMPORTANCES.some((importance) => stations[importance].includes(station.id)),
      )
    )
      fault(path, `no condition uses "${station.id}"`)
    noRepeats(
      station.ways.map(({ id }) => id),
      (at, id) => fault(`${path}.ways.${at}.id`, `"${id}" is there twice`),
    )
    const measures = station.measures ?? []
    noRepeats(
      measures.map(({ id }) => id),
      (at, id) => fault(`${path}.measures.${at}.id`, `"${id}" is there twice`),
    )
    measures.forEach(({ min, max, references }, at) => {
      if (min >= max) fault(`${path}.measures.${at}.max`, 'is not above min')
      references.forEach(({ from, to }, place) => {
        const where = `${path}.measures.${at}.references.${place}`
        if (from === undefined && to === undefined) fault(where, 'says neither from nor to')
        if ((from ?? min) < min || (to ?? max) > max || (from ?? min) > (to ?? max))
          fault(where, 'does not lie within what is plausible')
      })
    })
    station.ways.forEach((way, at) => {
      if (way.setUp !== undefined && !setUpIds.has(way.setUp))
        fault(`${path}.ways.${at}.setUp`, `no set-up "${way.setUp}"`)
      if (way.value < 1 && way.misses === undefined)
        fault(`${path}.ways.${at}.misses`, 'a lesser way says what it misses')
      if (way.helper && way.helperInstructions === undefined)
        fault(`${path}.ways.${at}.helperInstructions`, 'a way with a helper says what the helper does')
    })
  })

  // Conditions.
  protocol.conditions.forEach((condition, index) => {
    const path = `conditions.${index}`
    const named = IMPORTANCES.flatMap((importance) =>
      condition.stations[importance].map((id, at) => ({ id, path: `${path}.stations.${importance}.${at}` })),
    )
    noRepeats(
      named.map(({ id }) => id),
      (at, id) => fault(named[at]?.path ?? path, `"${id}" is there twice`),
    )
    for (const { id, path: at } of named) {
      if (!stationIds.has(id)) fault(at, `no station "${id}"`)
      if (condition.forbids.includes(id)) fault(at, `"${id}" is forbidden by the same condition`)
    }
    condition.forbids.forEach((id, at) => {
      if (!stationIds.has(id)) fault(`${path}.forbids.${at}`, `no station "${id}"`)
    })
    if (condition.earlyLook && condition.inPerson === undefined)
      fault(`${path}.earlyLook`, 'an early look needs inPerson beside it')
  })

  // Red flags.
  protocol.redFlags.forEach((flag, index) => {
    const path = `redFlags.${index}`
    if (flag.level === 'emergency' && flag.seeBy !== undefined) fault(`${path}.seeBy`, 'an emergency is not booked')
    if (flag.level !== 'emergency' && flag.seeBy === undefined) fault(`${path}.seeBy`, 'says by when')
    flag.earlyLookWith?.forEach((id, at) => {
      if (!conditionIds.has(id)) fault(`${path}.earlyLookWith.${at}`, `no condition "${id}"`)
    })
  })

  // Order.
  protocol.precedence.forEach(({ first, second }, index) => {
    for (const id of [first, second]) if (!stationIds.has(id)) fault(`precedence.${index}`, `no station "${id}"`)
  })
  const stationCycle = findCycle(protocol.precedence.map(({ first, second }) => [first, second]))
  if (stationCycle !== null) fault('precedence', `goes round in a circle: ${stationCycle.join(' → ')}`)
  const derivedCycle = findCycle(
    protocol.derived.flatMap(({ id, when }) =>
      directFacts(when)
        .filter((fact) => derivedOf.has(fact))
        .map((fact): [string, string] => [id, fact]),
    ),
  )
  if (derivedCycle !== null) fault('derived', `goes round in a circle: ${derivedCycle.join(' → ')}`)

  // What can be said only once every id meets.
  if (faults.length === 0) meaningFaults(protocol, fault)
  return faults
}

/** What is wrong with one reading of a fact, or null. */
function misreads(need: Extract<Need, { fact: string }>, fact: Fact | undefined, isDerived: boolean): string | null {
  if (fact === undefined && !isDerived) return `no fact "${need.fact}"`
  if (!('atLeast' in need)) return fact?.kind === 'number' ? `"${need.fact}" is a number, not a yes or no` : null
  if (fact === undefined || fact.kind !== 'number') return `"${need.fact}" is a yes or no, not a number`
  if (fact.unit !== need.unit) return `"${need.fact}" is in ${fact.unit ?? 'no unit'}, not ${need.unit}`
  return need.atLeast > (fact.max ?? Infinity)
    ? `"${need.fact}" can't be ${need.atLeast}: its max is ${fact.max}`
    : null
}

function meaningFaults(protocol: Protocol, fault: (path: string, message: string) => void): void {
  const changeable = new Set(protocol.facts.filter(({ change }) => change !== undefined).map(({ id }) => id))
  protocol.redFlags.forEach((flag, index) => {
    const when = expand(flag.when, protocol)
    if (cubes(when, true, unanswered({})).length === 0) fault(`redFlags.${index}.when`, 'can never be raised')
    for (const id of changeable)
      if (mentions(when, id))
        fault(`redFlags.${index}.when`, `reads "${id}", which a household could change to clear it`)
  })
  protocol.stations.forEach((station, index) => {
    const ways = station.ways.map((way) =>
      expand({ all: [setUpOf(protocol, station, way).needs, way.needs] }, protocol),
    )
    const safety = expand(station.safety, protocol)
    station.ways.forEach((way, at) => {
      const needs = ways[at]
      if (needs === undefined) return
      const path = `stations.${index}.ways.${at}`
      const possible = { all: [safety, needs] }
      if (cubes(possible, true, unanswered({})).length === 0) {
        fault(path, `"${way.id}" can never be chosen: its needs contradict each other`)
        return
      }
      const better = station.ways.find((other, place) => {
        const others = ways[place]
        const preferred = other.value > way.value || (other.value === way.value && place < at)
        // Never chosen if there is no home where this way is possible and the preferred one is not.
        return (
          preferred &&
          others !== undefined &&
          cubes({ all: [possible, { not: others }] }, true, unanswered({})).length === 0
        )
      })
      if (better !== undefined)
        fault(path, `"${way.id}" can never be chosen: "${better.id}" is always possible then, and preferred`)
    })
  })
}

function mentions(need: PlainNeed, fact: string): boolean {
  if ('fact' in need) return need.fact === fact
  return partsOf(need).some((part) => mentions(part, fact))
}

function directFacts(need: Need): string[] {
  if ('fact' in need) return [need.fact]
  if ('equipment' in need) return []
  return partsOf(need).flatMap(directFacts)
}

function ids(list: readonly { id: string }[]): Set<string> {
  return new Set(list.map(({ id }) => id))
}

function noRepeats(list: readonly string[], tell: (index: number, id: string) => void): void {
  const seen = new Set<string>()
  list.forEach((id, index) => {
    if (seen.has(id)) tell(index, id)
    seen.add(id)
  })
}

/** A circle among arrows, as the ids on it, or null. */
function findCycle(arrows: readonly (readonly [string, string])[]): string[] | null {
  const after = Map.groupBy(arrows, ([from]) => from)
  const finished = new Set<string>()
  const visit = (id: string, path: string[]): string[] | null => {
    if (path.includes(id)) return [...path.slice(path.indexOf(id)), id]
    if (finished.has(id)) return null
    for (const [, next] of after.get(id) ?? []) {
      const cycle = visit(next, [...path, id])
      if (cycle !== null) return cycle
    }
    finished.add(id)
    return null
  }
  for (const id of after.keys()) {
    const cycle = visit(id, [])
    if (cycle !== null) return cycle
  }
  return null
}
