/**
 * Is a need met, and why?
 *
 * Strong Kleene logic: what was not answered is neither yes nor no, and only
 * answers that settle a need whatever the rest may be settle it. The reasons are
 * exact, because people are told them and act on them.
 */
import { expand, type PlainNeed, type Terms } from '../protocol/expand.ts'
import type { Facts, Need } from '../protocol/need.ts'
import type { Truth } from './screening.ts'

export type Evaluation = {
  truth: Truth
  /**
   * Yes or no: every minimal set of answered facts that forces it.
   * Not known: every minimal set of unanswered facts whose answers could decide it.
   */
  reasons: string[][]
}

/** The truth of a need over what is known, with every minimal reason. */
export function evaluate(need: Need, facts: Facts, terms: Terms): Evaluation {
  const plain = expand(need, terms)
  const truth = truthOf(plain, facts)
  if (truth !== 'not_known') return { truth, reasons: factSets(cubes(plain, truth === 'yes', answered(facts))) }
  const open = unanswered(facts)
  return { truth, reasons: factSets([...cubes(plain, true, open), ...cubes(plain, false, open)]) }
}

/** The truth alone. */
export function truthOf(need: PlainNeed, facts: Facts): Truth {
  if ('fact' in need) {
    const value = facts[need.fact]
    if ('is' in need) return typeof value === 'boolean' ? (value === need.is ? 'yes' : 'no') : 'not_known'
    return typeof value === 'number' ? (value >= need.atLeast ? 'yes' : 'no') : 'not_known'
  }
  if ('not' in need) return negate(truthOf(need.not, facts))
  if ('of' in need) return truthOfPoints(need, facts)
  const settles = 'all' in need ? 'no' : 'yes'
  let result: Truth = settles === 'no' ? 'yes' : 'no'
  for (const part of 'all' in need ? need.all : need.any) {
    const truth = truthOf(part, facts)
    if (truth === settles) return settles
    if (truth === 'not_known') result = 'not_known'
  }
  return result
}

/** Reached when the fewest points that are still possible reach it, missed when even the most do not. */
function truthOfPoints({ atLeastPoints, of }: Points, facts: Facts): Truth {
  let least = 0
  let most = 0
  for (const { points, when } of of) {
    const truth = truthOf(when, facts)
    if (truth === 'yes' || (truth === 'not_known' && points < 0)) least += points
    if (truth === 'yes' || (truth === 'not_known' && points > 0)) most += points
  }
  if (least >= atLeastPoints) return 'yes'
  return most < atLeastPoints ? 'no' : 'not_known'
}

/** Strong Kleene "not". */
function negate(truth: Truth): Truth {
  return truth === 'yes' ? 'no' : truth === 'no' ? 'yes' : 'not_known'
}

/** What one fact must be: a yes or no, or a number in [from, below). */
export type Literal = { is: boolean } | { from: number; below: number }
/** Facts with what each must be, together enough to settle a need. */
export type Cube = ReadonlyMap<string, Literal>
type Atom = Extract<PlainNeed, { fact: string }>
type Points = Extract<PlainNeed, { of: unknown }>
/** The cubes that make one atom what is wanted. */
type AtomCubes = (atom: Atom, wanted: boolean) => Cube[]

const FREE: Cube = new Map()

/** Only answered facts count, and each must be named. */
export function answered(facts: Facts): AtomCubes {
  return (atom, wanted) =>
    truthOf(atom, facts) === (wanted ? 'yes' : 'no') ? [new Map([[atom.fact, literal(atom, wanted)]])] : []
}

/** Answered facts are given; unanswered ones may still be either. */
export function unanswered(facts: Facts): AtomCubes {
  return (atom, wanted) => {
    const truth = truthOf(atom, facts)
    if (truth === 'not_known') return [new Map([[atom.fact, literal(atom, wanted)]])]
    return truth === (wanted ? 'yes' : 'no') ? [FREE] : []
  }
}

function literal(atom: Atom, wanted: boolean): Literal {
  if ('is' in atom) return { is: atom.is === wanted }
  return wanted ? { from: atom.atLeast, below: Infinity } : { from: -Infinity, below: atom.atLeast }
}

/** Every minimal cube that makes a need what is wanted (true = met, false = surely not met). */
export function cubes(need: PlainNeed, wanted: boolean, atomCubes: AtomCubes): Cube[] {
  if ('fact' in need) return atomCubes(need, wanted)
  if ('not' in need) return cubes(need.not, !wanted, atomCubes)
  if ('of' in need) return cubesOfPoints(need, wanted, atomCubes)
  const parts = 'all' in need ? need.all : need.any
  if ('all' in need !== wanted) return absorb(parts.flatMap((part) => cubes(part, wanted, atomCubes)))
  let product: Cube[] = [FREE]
  for (const part of parts) {
    product = both(product, cubes(part, wanted, atomCubes))
    if (product.length === 0) return []
  }
  return product
}

const HALF_A_POINT = 0.5

/**
 * What surely reaches a score, or surely misses it. Every item pulls one way when it holds and the other when it does
 * not; what is missing is taken at its worst. So this asks for every smallest set of items whose pull is enough.
 */
function cubesOfPoints({ atLeastPoints, of }: Points, wanted: boolean, atomCubes: AtomCubes): Cube[] {
  const worst = of.reduce((sum, { points }) => sum + (points > 0 === wanted ? 0 : points), 0)
  const missing = wanted ? atLeastPoints - worst : worst - atLeastPoints + HALF_A_POINT
  const items = of
    .map(({ points, when }) => ({ pull: Math.abs(points), holds: cubes(when, points > 0 === wanted, atomCubes) }))
    .filter(({ holds }) => holds.length > 0)
    // The strongest first: then the last of a set that is just enough is its weakest, and no item of it is idle.
    .sort((a, b) => b.pull - a.pull)
  const found: Cube[] = []
  const grow = (from: number, left: number, product: Cube[]) => {
    if (left <= 0) {
      found.push(...product)
      return
    }
    let rest = items.slice(from).reduce((sum, { pull }) => sum + pull, 0)
    for (const [index, { pull, holds }] of items.entries()) {
      if (index < from) continue
      if (rest < left) return
      const next = both(product, holds)
      if (next.length > 0) grow(index + 1, left - pull, next)
      rest -= pull
    }
  }
  grow(0, missing, [FREE])
  return absorb(found)
}

/** Every pair of cubes at once. */
function both(lefts: readonly Cube[], rights: readonly Cube[]): Cube[] {
  return absorb(lefts.flatMap((left) => rights.flatMap((right) => meet(left, right) ?? [])))
}

/** Both cubes at once, or null when they contradict each other. */
function meet(left: Cube, right: Cube): Cube | null {
  if (left.size === 0) return right
  const both = new Map(left)
  for (const [fact, wanted] of right) {
    const had = both.get(fact)
    if (had === undefined) both.set(fact, wanted)
    else if ('is' in had || 'is' in wanted) {
      if (!('is' in had && 'is' in wanted && had.is === wanted.is)) return null
    } else {
      const from = Math.max(had.from, wanted.from)
      const below = Math.min(had.below, wanted.below)
      if (from >= below) return null
      both.set(fact, { from, below })
    }
  }
  return both
}

/** Drops cubes that ask for all that another asks for, and more. */
function absorb(all: Cube[]): Cube[] {
  if (all.length < 2) return all
  const kept: Cube[] = []
  for (const cube of [...all].sort((a, b) => a.size - b.size))
    if (!kept.some((weaker) => implies(cube, weaker))) kept.push(cube)
  return kept
}

function implies(cube: Cube, weaker: Cube): boolean {
  for (const [fact, wanted] of weaker) {
    const had = cube.get(fact)
    if (had === undefined) return false
    if ('is' in had || 'is' in wanted) {
      if (!('is' in had && 'is' in wanted && had.is === wanted.is)) return false
    } else if (had.from < wanted.from || had.below > wanted.below) return false
  }
  return true
}

/** The minimal sets of fact ids, in a stable order. */
export function factSets(all: Cube[]): string[][] {
  const sets = all
    .map((cube) => [...cube.keys()].sort())
    .sort((a, b) => a.length - b.length || compare(a.join(), b.join()))
  const kept: string[][] = []
  for (const set of sets) if (!kept.some((smaller) => smaller.every((fact) => set.includes(fact)))) kept.push(set)
  return kept
}

function compare(a: string, b: string): number {
  return a < b ? -1 : a > b ? 1 : 0
}
