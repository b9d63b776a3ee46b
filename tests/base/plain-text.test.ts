/** Text from anywhere in the world is kept as it is; what no database keeps or what would turn a line around is not. */
import { describe, expect, test } from 'vitest'
import { fullName, isolated, isShowable } from '#lib/base/plain-text.ts'

describe('a line of text', () => {
  test.each([
    'Ana María',
    "O'Neil",
    'שרה כהן',
    'فاطمة',
    '李小龍',
    '👩🏽‍🦽 Sam',
    '<script>alert(1)</script>',
    "Robert'); --",
  ])('%s can be kept and shown', (line) => expect(isShowable(line)).toBe(true))
  // U+202E RIGHT-TO-LEFT OVERRIDE and its twin: Unicode UAX #9, 2.2.
  test.each([
    ['U+0000', 'a\u0000b'],
    ['a line break', 'a\nb'],
    ['an override of the direction', 'a\u202Eb'],
    ['half a character', 'a\uD83D'],
  ])('with %s is refused', (_, line) => expect(isShowable(line)).toBe(false))
})

describe('a name in a sentence', () => {
  // U+2068 FIRST STRONG ISOLATE … U+2069 POP DIRECTIONAL ISOLATE: Unicode UAX #9, 2.4.
  test('from right to left stands by itself', () => {
    expect(fullName({ givenName: 'שרה', familyName: 'כהן' })).toBe('\u2068שרה כהן\u2069')
    expect(isolated('فاطمة')).toBe('\u2068فاطمة\u2069')
  })
  test('from left to right is left as it is', () => {
    expect(fullName({ givenName: 'Ana', familyName: '李' })).toBe('Ana 李')
  })
})
