/**
 * Published scores, written as a need. Check values from the scores themselves:
 * CDC STEADI "Stay Independent" (Rubenstein LZ et al. J Safety Res 2011;42:493-9): 12 items, the first two give 2
 * points, at risk from 4. Wells for deep vein thrombosis (NEJM 2003;349:1227-35; NICE NG158): likely from 2, and
 * another diagnosis at least as likely takes 2 away.
 */
import { describe, expect, test } from 'vitest'
import type { Facts, Need } from '#lib/domain/protocol/need.ts'
import { evaluate } from '#lib/domain/screening/evaluate.ts'

const NO_TERMS = { derived: [], equipment: [] }
const score = (atLeastPoints: number, items: Record<string, number>): Need => ({
  atLeastPoints,
  of: Object.entries(items).map(([fact, points]) => ({ points, when: { fact, is: true } })),
})
const answers = (items: Record<string, number>, yes: readonly string[], open: readonly string[] = []): Facts =>
  Object.fromEntries(
    Object.keys(items)
      .filter((id) => !open.includes(id))
      .map((id) => [id, yes.includes(id)]),
  )

const STEADI = {
  fell: 2,
  walking_aid: 2,
  unsteady: 1,
  holds_furniture: 1,
  worries: 1,
  pushes_up: 1,
  kerb: 1,
  rushes: 1,
  lost_feeling: 1,
  dizzy_pill: 1,
  sleep_pill: 1,
  sad: 1,
}
const WELLS = {
  cancer: 1,
  plaster: 1,
  bedridden: 1,
  tender_veins: 1,
  leg_swollen: 1,
  calf_swollen: 1,
  oedema: 1,
  collaterals: 1,
  earlier_clot: 1,
  other_diagnosis: -2,
}

describe('STEADI, Stay Independent', () => {
  test.each<[string, string[], string[], string]>([
    ['nothing answered yes', [], [], 'no'],
    ['the two heavy items', ['fell', 'walking_aid'], [], 'yes'],
    ['one heavy item and one light one: 3 points', ['fell', 'sad'], [], 'no'],
    ['one heavy item and two light ones', ['walking_aid', 'sad', 'kerb'], [], 'yes'],
    ['three light items', ['unsteady', 'worries', 'rushes'], [], 'no'],
    ['four light items', ['unsteady', 'worries', 'rushes', 'dizzy_pill'], [], 'yes'],
    ['3 points and a light item open', ['fell', 'sad'], ['kerb'], 'not_known'],
    ['1 point and a heavy item open: 3 at the most', ['sad'], ['fell'], 'no'],
    ['4 points, however much is open', ['fell', 'walking_aid'], ['sad', 'kerb', 'rushes'], 'yes'],
  ])('%s', (_, yes, open, truth) => {
    expect(evaluate(score(4, STEADI), answers(STEADI, yes, open), NO_TERMS).truth).toBe(truth)
  })

  test('the reason for "at risk" names only the items that make it up', () => {
    const { reasons } = evaluate(score(4, STEADI), answers(STEADI, ['fell', 'sad', 'kerb', 'worries']), NO_TERMS)
    expect(reasons).toEqual([
      ['fell', 'kerb', 'sad'],
      ['fell', 'kerb', 'worries'],
      ['fell', 'sad', 'worries'],
    ])
  })

  test('the least questions that could still decide it are one heavy item, or one light one', () => {
    const { reasons } = evaluate(score(4, STEADI), answers(STEADI, ['fell', 'sad'], ['kerb', 'walking_aid']), NO_TERMS)
    expect(reasons).toEqual([['kerb'], ['walking_aid']])
  })
})

describe('Wells, two levels', () => {
  test.each<[string, string[], string[], string]>([
    ['one sign', ['plaster'], [], 'no'],
    ['two signs', ['plaster', 'calf_swollen'], [], 'yes'],
    ['two signs, but another diagnosis as likely', ['plaster', 'calf_swollen', 'other_diagnosis'], [], 'no'],
    ['four signs outweigh it', ['plaster', 'calf_swollen', 'oedema', 'cancer', 'other_diagnosis'], [], 'yes'],
    ['two signs, the other diagnosis not known', ['plaster', 'calf_swollen'], ['other_diagnosis'], 'not_known'],
    [
      'four signs, whatever the other diagnosis',
      ['plaster', 'calf_swollen', 'oedema', 'cancer'],
      ['other_diagnosis'],
      'yes',
    ],
  ])('%s', (_, yes, open, truth) => {
    expect(evaluate(score(2, WELLS), answers(WELLS, yes, open), NO_TERMS).truth).toBe(truth)
  })
})
