import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import type { Sign } from '#lib/domain/packet/packet.ts'
import { groupSigns } from '#lib/domain/packet/sign-groups.ts'

const sign = (name: string): Sign => ({ ask: { en: name, es: name }, answer: 'yes' })
const sets = (...names: string[]) => names.map((set) => [...set].map(sign))
const told = (groups: ReturnType<typeof groupSigns>) =>
  groups.map(({ sign: { ask }, also }) => [ask.en, ...also.map((set) => set.map((each) => each.ask.en).join(''))])

describe('signs that count only together', () => {
  test('are told by the sign that they share', () => {
    expect(told(groupSigns(sets('a', 'fr', 'fs', 'fwx', 'b')))).toEqual([['a'], ['f', 'r', 's', 'wx'], ['b']])
  })

  test('a sign that is enough alone stays alone, also where others count with it', () => {
    expect(told(groupSigns(sets('r', 'fr', 'fs')))).toEqual([['r'], ['f', 'r', 's']])
  })

  test('a set that shares nothing is told whole', () => {
    expect(told(groupSigns(sets('ab', 'cd')))).toEqual([
      ['a', 'b'],
      ['c', 'd'],
    ])
  })

  // Safety: a sign that got lost here would be one that nobody is told to call about.
  test('nothing is lost and nothing is added', () => {
    const anySets = fc.uniqueArray(fc.uniqueArray(fc.constantFrom(...'abcde'), { minLength: 1, maxLength: 4 }), {
      maxLength: 12,
      selector: (set) => [...set].sort().join(''),
    })
    const asText = (all: readonly (readonly Sign[])[]) =>
      all
        .map((set) =>
          set
            .map(({ ask }) => ask.en)
            .sort()
            .join(''),
        )
        .sort()
    fc.assert(
      fc.property(anySets, (names) => {
        const all = names.map((set) => set.map(sign))
        const again = groupSigns(all).flatMap(({ sign: first, also }) =>
          also.length === 0 ? [[first]] : also.map((set) => [first, ...set]),
        )
        expect(asText(again)).toEqual(asText(all))
      }),
      { seed: 8, numRuns: 500 },
    )
  })
})
