import { expect, test } from 'vitest'
import { agreed, sideFromText } from '#lib/domain/intake/laterality.ts'

test.each([
  ['Left ankle', 'left'],
  ['RT foot', 'right'],
  ['Tobillo izquierdo', 'left'],
  ['pie derecho', 'right'],
  ['Both feet', 'both'],
  ['bilateral ankles', 'both'],
  ['ambos pies', 'both'],
  ['Left and right foot', null],
  ['Both, left worse', null],
  ['Ankle', null],
  ['bright red foot', null],
  ['cleft', null],
  ['', null],
])('"%s" tells %s', (text, side) => {
  expect(sideFromText(text)).toBe(side)
})

test.each([
  [['left', null, 'left'], 'left'],
  [['left', 'right'], null],
  [['both', 'left', 'right'], 'both'],
  [['both', 'left'], null],
  [[null], null],
  [[], null],
] as const)('%j agree on %s', (sides, side) => {
  expect(agreed(sides)).toBe(side)
})
