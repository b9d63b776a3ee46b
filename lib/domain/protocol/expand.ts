/**
 * What a need comes down to: home facts only.
 *
 * Needs name derived facts ("at risk of falling") and equipment with its
 * stand-ins; reasons must name what a person was asked, so both are replaced by
 * the facts behind them.
 */
import { invariant } from '#lib/base/invariant.ts'
import { type Need, partsOf } from './need.ts'
import type { DerivedFact, Equipment } from './schema.ts'

/** A need over asked facts alone. */
export type PlainNeed =
  | { fact: string; is: boolean }
  | { fact: string; atLeast: number }
  | { all: PlainNeed[] }
  | { any: PlainNeed[] }
  | { not: PlainNeed }
  | { atLeastPoints: number; of: { points: number; when: PlainNeed }[] }

/** The parts of a protocol that needs refer to. */
export type Terms = { readonly derived: readonly DerivedFact[]; readonly equipment: readonly Equipment[] }

type Table = { derived: Map<string, DerivedFact>; equipment: Map<string, Equipment>; plain: WeakMap<Need, PlainNeed> }

const tables = new WeakMap<Terms, Table>()

/** Replaces derived facts and equipment by the asked facts behind them; worked out once for each need of a protocol. */
export function expand(need: Need, terms: Terms): PlainNeed {
  let table = tables.get(terms)
  if (table === undefined) {
    table = {
      derived: new Map(terms.derived.map((each) => [each.id, each])),
      equipment: new Map(terms.equipment.map((each) => [each.id, each])),
      plain: new WeakMap(),
    }
    tables.set(terms, table)
  }
  return plainOf(need, table, 0)
}

function plainOf(need: Need, table: Table, depth: number): PlainNeed {
  const known = table.plain.get(need)
  if (known !== undefined) return known
  invariant(depth < 1000, 'derived facts of a loaded protocol have no cycle')
  const plain = work(need, table, depth + 1)
  table.plain.set(need, plain)
  return plain
}

function work(need: Need, table: Table, depth: number): PlainNeed {
  if ('equipment' in need) {
    const equipment = table.equipment.get(need.equipment)
    invariant(equipment, `equipment "${need.equipment}" exists in a loaded protocol`)
    return { any: equipment.anyOf.map(({ fact }) => plainOf({ fact, is: true }, table, depth)) }
  }
  if ('all' in need) return { all: need.all.map((part) => plainOf(part, table, depth)) }
  if ('any' in need) return { any: need.any.map((part) => plainOf(part, table, depth)) }
  if ('not' in need) return { not: plainOf(need.not, table, depth) }
  if ('of' in need) {
    const of = need.of.map(({ points, when }) => ({ points, when: plainOf(when, table, depth) }))
    return { atLeastPoints: need.atLeastPoints, of }
  }
  if ('atLeast' in need) return { fact: need.fact, atLeast: need.atLeast }
  const derived = table.derived.get(need.fact)
  if (derived === undefined) return { fact: need.fact, is: need.is }
  const when = plainOf(derived.when, table, depth)
  return need.is ? when : { not: when }
}

/** Every asked fact that a need reads. */
export function factsRead(need: PlainNeed, into: Set<string> = new Set()): Set<string> {
  if ('fact' in need) into.add(need.fact)
  else for (const part of partsOf(need)) factsRead(part, into)
  return into
}
