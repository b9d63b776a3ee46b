import { expect, test } from 'vitest'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Need } from '#lib/domain/protocol/need.ts'
import { needWords, thresholdsIn } from '#lib/domain/versions/need-words.ts'

const HELPER = { fact: 'helper', is: true }
const LANE = { fact: 'lane_m', atLeast: 4.1, unit: 'm' as const }

test.each<[string, Need, string]>([
  ['nothing', { all: [] }, 'nothing'],
  ['no', { fact: 'fall_risk', is: false }, 'no to “at risk of falling”'],
  ['a threshold', LANE, 'lane of 4.1 m or more'],
  ['a thing with its stand-in', { equipment: 'strap' }, 'a strap or long belt or a long towel'],
  [
    'the same joined to the same needs no brackets',
    { all: [{ all: [HELPER, LANE] }, { equipment: 'tape' }] },
    'helper, and lane of 4.1 m or more, and a tape measure',
  ],
  [
    'the other joined to it does',
    { all: [{ any: [HELPER, LANE] }, { equipment: 'tape' }] },
    '(helper, or lane of 4.1 m or more), and a tape measure',
  ],
  ['a need alone does not', { all: [{ any: [HELPER, LANE] }] }, 'helper, or lane of 4.1 m or more'],
  ['not', { not: HELPER }, 'not (helper)'],
  [
    'a score',
    {
      atLeastPoints: 1,
      of: [
        { points: 1, when: HELPER },
        { points: -0.5, when: LANE },
      ],
    },
    'at least 1 points of: helper (+1); lane of 4.1 m or more (-0.5)',
  ],
])('%s is said so', (_, need, words) => {
  expect(needWords(need, footAndAnkle)).toBe(words)
})

test('thresholds are found wherever they stand, by their path', () => {
  const need: Need = { any: [HELPER, { not: { all: [LANE] } }, { atLeastPoints: 2, of: [{ points: 2, when: LANE }] }] }
  expect(thresholdsIn(need, 'when', footAndAnkle).map(({ path, value }) => [path, value])).toEqual([
    ['when.any.1.not.all.0.atLeast', 4.1],
    ['when.any.2.atLeastPoints', 2],
    ['when.any.2.of.0.when.atLeast', 4.1],
  ])
})
