/** Small random protocols and cases, seeded by fast-check, on which exact answers can be found by trying everything. */
import fc from 'fast-check'
import type { Facts, Need } from '#lib/domain/protocol/need.ts'
import {
  type Fact,
  FLAG_LEVELS,
  type FlagLevel,
  IMPORTANCES,
  type Protocol,
  type Station,
} from '#lib/domain/protocol/schema.ts'

export const YES_NO_IDS = ['a', 'b', 'c', 'd', 'e'] as const
export const NUMBER_ID = 'n'
const THRESHOLDS = [3, 6] as const
/** One value below, between and at the thresholds: every way in which a number can matter. */
export const NUMBER_VALUES = [0, 3, 6] as const

const atom: fc.Arbitrary<Need> = fc.oneof(
  { weight: 4, arbitrary: fc.record({ fact: fc.constantFrom(...YES_NO_IDS), is: fc.boolean() }) },
  {
    weight: 1,
    arbitrary: fc.record({
      fact: fc.constant(NUMBER_ID),
      atLeast: fc.constantFrom(...THRESHOLDS),
      unit: fc.constant('m' as const),
    }),
  },
)

/** A random need over the facts a to e and the number n. */
export const anyNeed: fc.Arbitrary<Need> = fc.letrec<{ need: Need }>((tie) => ({
  need: fc.oneof(
    { maxDepth: 3, depthIdentifier: 'need' },
    atom,
    fc.record({ all: fc.array(tie('need'), { maxLength: 3 }) }),
    fc.record({ any: fc.array(tie('need'), { minLength: 1, maxLength: 3 }) }),
    fc.record({ not: tie('need') }),
    fc.record({
      atLeastPoints: fc.constantFrom(-1, 1, 1.5, 2, 4),
      of: fc.array(fc.record({ points: fc.constantFrom(-2, -1, 0.5, 1, 1, 2), when: tie('need') }), {
        minLength: 1,
        maxLength: 4,
      }),
    }),
  ),
})).need

/** A random state of knowledge: each fact known or not. */
export const anyFacts: fc.Arbitrary<Facts> = fc
  .record({
    yesNo: fc.tuple(...YES_NO_IDS.map(() => fc.constantFrom(true, false, null))),
    number: fc.constantFrom(...NUMBER_VALUES, null),
  })
  .map(({ yesNo, number }) =>
    Object.fromEntries(
      [...YES_NO_IDS.map((id, index) => [id, yesNo[index]]), [NUMBER_ID, number]].filter(([, value]) => value !== null),
    ),
  )

const TEXT = { en: 'x', es: 'x' }

function fact(id: string, kind: Fact['kind'], change: Fact['change']): Fact {
  return {
    id,
    kind,
    ...(kind === 'number' ? { unit: 'm' as const, min: 0, max: 10 } : {}),
    area: 'space',
    askedOf: 'patient',
    label: id,
    ask: TEXT,
    why: TEXT,
    ...(change && { change }),
    source: 'test',
  }
}

const anyStation = (id: string): fc.Arbitrary<Station> =>
  fc
    .record({
      safety: fc.oneof(fc.constant<Need>({ all: [] }), atom),
      ways: fc.array(fc.record({ needs: anyNeed, helper: fc.boolean(), value: fc.constantFrom(0.25, 0.5, 1) }), {
        minLength: 1,
        maxLength: 2,
      }),
    })
    .map(({ safety, ways }) => ({
      id,
      title: id,
      plain: TEXT,
      looksFor: id,
      sides: 'together',
      setUp: 's',
      minutes: 1,
      safety,
      unsafeBecause: TEXT,
      ways: ways.map((way, index) => ({ ...way, id: `w${index}`, misses: 'x', fetch: [], instructions: TEXT })),
      source: 'test',
    }))

/** A random protocol of one condition: enough to reach every rung of the ladder. */
export const anyProtocol: fc.Arbitrary<Protocol> = fc
  .record({
    stations: fc.tuple(anyStation('s0'), anyStation('s1'), anyStation('s2'), anyStation('s3')),
    importances: fc.tuple(...[0, 1, 2, 3].map(() => fc.constantFrom(...IMPORTANCES))),
    setUpNeeds: fc.oneof(fc.constant<Need>({ all: [] }), atom),
    flags: fc.array(
      fc.record({ level: fc.constantFrom<FlagLevel>(...FLAG_LEVELS), when: fc.record({ all: fc.tuple(atom, atom) }) }),
      {
        maxLength: 2,
      },
    ),
    homeRules: fc.array(atom, { maxLength: 1 }),
    changes: fc.tuple(
      ...YES_NO_IDS.map(() => fc.option(fc.record({ cost: fc.integer({ min: 1, max: 5 }), to: fc.boolean() }))),
    ),
    numberChange: fc.option(fc.integer({ min: 1, max: 5 })),
    forbidden: fc.option(fc.constantFrom('s0', 's3'), { freq: 4 }),
  })
  .map((drawn) => {
    // As in every loaded protocol, no household can change what a red flag reads.
    const flagged = new Set(
      drawn.flags.flatMap(({ when }) => when.all.map((need) => ('fact' in need ? need.fact : ''))),
    )
    return {
      ...drawn,
      changes: drawn.changes.map((change, index) => (flagged.has(YES_NO_IDS[index] ?? '') ? null : change)),
      numberChange: flagged.has(NUMBER_ID) ? null : drawn.numberChange,
    }
  })
  .map(
    ({ stations, importances, setUpNeeds, flags, homeRules, changes, numberChange, forbidden }): Protocol => ({
      schemaVersion: 1,
      id: 'p',
      version: 1,
      region: 'r',
      title: TEXT,
      demonstration: true,
      helperFact: 'a',
      facts: [
        ...YES_NO_IDS.map((id, index) => {
          const change = changes[index]
          return fact(id, 'yes_no', change ? { ...change, say: TEXT } : undefined)
        }),
        fact(NUMBER_ID, 'number', numberChange === null ? undefined : { cost: numberChange, to: 6, say: TEXT }),
      ],
      derived: [],
      equipment: [],
      setUps: [
        {
          id: 's',
          title: TEXT,
          position: 'seated',
          camera: { placement: 'p', handheld: false, orientation: 'portrait', heightCm: 30, mustSeeUpToCm: 60 },
          instructions: TEXT,
          needs: setUpNeeds,
          source: 'test',
        },
      ],
      stations,
      conditions: [
        {
          id: 'k',
          title: 'k',
          plain: TEXT,
          icd10: { left: [], right: [], both: [], unspecified: [] },
          stations: {
            essential: stations.filter((_, index) => importances[index] === 'essential').map(({ id }) => id),
            useful: stations.filter((_, index) => importances[index] === 'useful').map(({ id }) => id),
            optional: stations.filter((_, index) => importances[index] === 'optional').map(({ id }) => id),
          },
          forbids: forbidden === null ? [] : [forbidden],
          earlyLook: false,
          imageFirst: false,
          source: 'test',
        },
      ],
      redFlags: flags.map(({ level, when }, index) => ({
        id: `f${index}`,
        level,
        title: `f${index}`,
        when,
        ...(level === 'emergency' ? {} : { seeBy: { within: 1, unit: 'days' as const } }),
        advice: TEXT,
        source: 'test',
      })),
      homeRules: homeRules.map((when, index) => ({
        id: `h${index}`,
        title: `h${index}`,
        when,
        because: TEXT,
        source: 'test',
      })),
      precedence: [],
      costs: { moveCameraSec: 1, changePositionSec: 1, callHelperSec: 1, releaseHelperSec: 1, source: 'test' },
      weights: { essential: 4, useful: 2, optional: 1, source: 'test' },
    }),
  )

/** All subsets of a list, small ones first. */
export function subsets<T>(list: readonly T[]): T[][] {
  const all = Array.from({ length: 2 ** list.length }, (_, mask) => list.filter((_, index) => mask & (1 << index)))
  return all.sort((a, b) => a.length - b.length)
}

/** Keeps the sets that hold no other set of the list. */
export function minimal(sets: readonly string[][]): string[][] {
  return sets.filter((set) => !sets.some((other) => other.length < set.length && other.every((id) => set.includes(id))))
}

/** One order for lists of sets, to compare them. */
export function sorted(sets: readonly string[][]): string[] {
  return sets.map((set) => [...set].sort().join(' ')).sort()
}
