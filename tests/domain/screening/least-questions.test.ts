import fc from 'fast-check'
import { expect, test } from 'vitest'
import { leastQuestions } from '#lib/domain/screening/least-questions.ts'
import { subsets } from './random-cases.ts'

const IDS = ['a', 'b', 'c', 'd', 'e', 'f', 'g']
const anyThings = fc.array(
  fc.record({
    weight: fc.constantFrom(1, 10),
    groups: fc.array(fc.subarray(IDS, { minLength: 1, maxLength: 3 }), { minLength: 1, maxLength: 4 }),
  }),
  { maxLength: 5 },
)

test('no smaller set of questions settles everything: trying all sets finds the same size', () => {
  fc.assert(
    fc.property(anyThings, (things) => {
      const settles = (asked: readonly string[]) =>
        things.every(({ groups }) => groups.some((group) => group.every((id) => asked.includes(id))))
      const found = leastQuestions(things, IDS)
      expect(settles(found)).toBe(true)
      expect(found).toHaveLength(subsets(IDS).find(settles)?.length ?? -1)
    }),
    { numRuns: 500 },
  )
})

test('the question that bears on most comes first', () => {
  const things = [
    { weight: 1, groups: [['a']] },
    { weight: 10, groups: [['b'], ['c', 'd']] },
    { weight: 1, groups: [['a', 'b']] },
  ]
  expect(leastQuestions(things, IDS)).toEqual(['b', 'a'])
})
