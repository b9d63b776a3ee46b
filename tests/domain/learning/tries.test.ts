/** What nobody got to was no try, whoever says so and however; everything else is counted once. */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { failuresOf, type TryCount, waysOf } from '#lib/domain/learning/tries.ts'
import { REASONS, RESULTS } from '#lib/domain/outcomes/vocabulary.ts'

const strap = { protocolId: 'foot_and_ankle', protocolVersion: 1, stationId: 'calf_pull', wayId: 'strap' } as const
const tried = (result: TryCount['result'], reason: TryCount['reason'], n: number): TryCount => ({
  ...strap,
  result,
  reason,
  n,
})

describe('tries of a way', () => {
  test('hard counts as done, time that ran out as not reached', () => {
    const counts = [
      tried('done', null, 12),
      tried('done_with_difficulty', 'no_time', 3),
      tried('not_possible', 'pain', 4),
      tried('not_possible', 'no_time', 5),
      tried('stopped', 'pain', 1),
      tried('not_reached', null, 6),
    ]
    const line = { done: 15, of: 20, withDifficulty: 3, notPossible: 4, stopped: 1, notReached: 11 }
    expect(waysOf(counts)).toEqual([{ ...strap, ...line }])
  })

  test('another version of the protocol is another way', () => {
    const counts = [tried('done', null, 1), { ...tried('done', null, 2), protocolVersion: 2 }]
    expect(waysOf(counts).map(({ protocolVersion, of }) => [protocolVersion, of])).toEqual([
      [1, 1],
      [2, 2],
    ])
  })

  test('why it failed: the most frequent reason first, without what nobody got to', () => {
    const counts = [
      tried('not_possible', 'pain', 2),
      tried('not_possible', 'no_time', 90),
      tried('not_possible', null, 80),
      { ...tried('not_possible', 'pain', 3), wayId: 'towel' },
      tried('stopped', 'pain', 7),
    ]
    expect(failuresOf(counts)).toEqual([
      { reason: 'pain', result: 'stopped', n: 7 },
      { reason: 'pain', result: 'not_possible', n: 5 },
    ])
  })

  const count = fc
    .tuple(fc.constantFrom(...RESULTS), fc.option(fc.constantFrom(...REASONS)), fc.integer({ min: 1, max: 500 }))
    .map(([result, reason, n]) => tried(result, reason, n))

  test('nothing is counted twice, nothing is lost, and the order does not matter', () => {
    fc.assert(
      fc.property(fc.array(count, { minLength: 1 }), (counts) => {
        const total = counts.reduce((sum, { n }) => sum + n, 0)
        for (const { done, of, notPossible, stopped, notReached } of waysOf(counts)) {
          expect(done + notPossible + stopped).toBe(of)
          expect(of + notReached).toBe(total)
        }
        expect(waysOf(counts.toReversed())).toEqual(waysOf(counts))
        expect(failuresOf(counts.toReversed())).toEqual(failuresOf(counts))
      }),
    )
  })
})
