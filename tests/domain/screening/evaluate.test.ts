import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { Facts, Need } from '#lib/domain/protocol/need.ts'
import { evaluate } from '#lib/domain/screening/evaluate.ts'
import { anyFacts, anyNeed, minimal, NUMBER_ID, NUMBER_VALUES, sorted, subsets, YES_NO_IDS } from './random-cases.ts'

const NO_TERMS = { derived: [], equipment: [] }
const ALL_IDS = [...YES_NO_IDS, NUMBER_ID]

function restrict(facts: Facts, ids: readonly string[]): Facts {
  return Object.fromEntries(Object.entries(facts).filter(([id]) => ids.includes(id)))
}

function assignments(ids: readonly string[]): Facts[] {
  let all: Facts[] = [{}]
  for (const id of ids) {
    const values = id === NUMBER_ID ? NUMBER_VALUES : [true, false]
    all = all.flatMap((facts) => values.map((value) => ({ ...facts, [id]: value })))
  }
  return all
}

describe('strong Kleene logic', () => {
  // Kleene 1952, section 64: the strong tables.
  const a = { fact: 'a', is: true } as const
  const b = { fact: 'b', is: true } as const
  const given: Record<string, Facts> = { yes: { a: true }, no: { a: false }, not_known: {} }
  const also: Record<string, Facts> = { yes: { b: true }, no: { b: false }, not_known: {} }
  test.each([
    ['yes', 'yes', 'yes', 'yes'],
    ['yes', 'no', 'no', 'yes'],
    ['yes', 'not_known', 'not_known', 'yes'],
    ['no', 'no', 'no', 'no'],
    ['no', 'not_known', 'no', 'not_known'],
    ['not_known', 'not_known', 'not_known', 'not_known'],
  ])('%s with %s is %s for "all" and %s for "any"', (left, right, all, any) => {
    const facts = { ...given[left], ...also[right] }
    expect(evaluate({ all: [a, b] }, facts, NO_TERMS).truth).toBe(all)
    expect(evaluate({ any: [a, b] }, facts, NO_TERMS).truth).toBe(any)
  })

  test('learning a fact never turns yes into no, nor back', () => {
    fc.assert(
      fc.property(anyNeed, anyFacts, anyFacts, (need, facts, more) => {
        const before = evaluate(need, facts, NO_TERMS).truth
        fc.pre(before !== 'not_known')
        expect(evaluate(need, { ...more, ...facts }, NO_TERMS).truth).toBe(before)
      }),
    )
  })

  test('De Morgan holds for the truth and for its reasons', () => {
    fc.assert(
      fc.property(anyNeed, anyNeed, anyFacts, (left, right, facts) => {
        const one = evaluate({ not: { all: [left, right] } }, facts, NO_TERMS)
        const other = evaluate({ any: [{ not: left }, { not: right }] }, facts, NO_TERMS)
        expect(one).toEqual(other)
      }),
    )
  })
})

describe('points', () => {
  const oneEach = (needs: readonly Need[]) => needs.map((when) => ({ points: 1, when }))

  test('all of them is "all", and one of them is "any"', () => {
    fc.assert(
      fc.property(fc.array(anyNeed, { minLength: 1, maxLength: 3 }), anyFacts, (needs, facts) => {
        const of = oneEach(needs)
        expect(evaluate({ atLeastPoints: of.length, of }, facts, NO_TERMS)).toEqual(
          evaluate({ all: needs }, facts, NO_TERMS),
        )
        expect(evaluate({ atLeastPoints: 1, of }, facts, NO_TERMS)).toEqual(evaluate({ any: needs }, facts, NO_TERMS))
      }),
    )
  })

  test('that an item takes away are points that its opposite gives', () => {
    fc.assert(
      fc.property(anyNeed, anyNeed, anyFacts, (left, right, facts) => {
        const taken = {
          atLeastPoints: 0,
          of: [
            { points: 1, when: left },
            { points: -1, when: right },
          ],
        }
        const given = { atLeastPoints: 1, of: oneEach([left, { not: right }]) }
        expect(evaluate(taken, facts, NO_TERMS)).toEqual(evaluate(given, facts, NO_TERMS))
      }),
    )
  })
})

describe('reasons', () => {
  test('for yes and no they are exactly the minimal sets of answered facts that force it', () => {
    fc.assert(
      fc.property(anyNeed, anyFacts, (need, facts) => {
        const { truth, reasons } = evaluate(need, facts, NO_TERMS)
        fc.pre(truth !== 'not_known')
        const forcing = subsets(Object.keys(facts)).filter(
          (ids) => evaluate(need, restrict(facts, ids), NO_TERMS).truth === truth,
        )
        expect(sorted(reasons)).toEqual(sorted(minimal(forcing)))
      }),
      { numRuns: 300 },
    )
  })

  test('for not known they are exactly the minimal sets of unanswered facts that could decide it', () => {
    fc.assert(
      fc.property(anyNeed, anyFacts, (need, facts) => {
        const { truth, reasons } = evaluate(need, facts, NO_TERMS)
        fc.pre(truth === 'not_known')
        const open = ALL_IDS.filter((id) => facts[id] === undefined)
        const deciding = subsets(open).filter((ids) =>
          assignments(ids).some((answers) => evaluate(need, { ...facts, ...answers }, NO_TERMS).truth !== 'not_known'),
        )
        expect(sorted(reasons)).toEqual(sorted(minimal(deciding)))
      }),
      { numRuns: 300 },
    )
  })

  test('they name what was asked, not what was worked out from it', () => {
    const terms = {
      derived: [
        {
          id: 'fall_risk',
          title: 'x',
          plain: { en: 'x', es: 'x' },
          when: {
            any: [
              { fact: 'fell', is: true },
              { fact: 'dizzy', is: true },
            ],
          } satisfies Need,
          source: 'test',
        },
      ],
      equipment: [
        {
          id: 'strap',
          title: { en: 'x', es: 'x' },
          anyOf: ['strap', 'towel'].map((fact) => ({ fact, title: { en: 'x', es: 'x' } })),
          source: 'test',
        },
      ],
    }
    const need: Need = { all: [{ fact: 'fall_risk', is: false }, { equipment: 'strap' }] }
    expect(evaluate(need, { fell: false, dizzy: true }, terms)).toEqual({ truth: 'no', reasons: [['dizzy']] })
    expect(evaluate(need, { fell: false, dizzy: false, strap: false, towel: true }, terms)).toEqual({
      truth: 'yes',
      reasons: [['dizzy', 'fell', 'towel']],
    })
    expect(evaluate(need, { fell: false, dizzy: false, strap: false }, terms)).toEqual({
      truth: 'not_known',
      reasons: [['towel']],
    })
  })

  test('an answer of the wrong kind is no answer', () => {
    expect(evaluate({ fact: 'a', is: true }, { a: 1 }, NO_TERMS).truth).toBe('not_known')
    expect(evaluate({ fact: 'n', atLeast: 3, unit: 'm' }, { n: true }, NO_TERMS).truth).toBe('not_known')
  })
})
