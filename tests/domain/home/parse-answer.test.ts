import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { STEP_LENGTH_M } from '#lib/domain/geometry/stand-off.ts'
import { asTyped, parseAnswer, rangeIn, unitsFor } from '#lib/domain/home/parse-answer.ts'
import type { Fact } from '#lib/domain/protocol/schema.ts'

const words = { en: 'x', es: 'x' }
const yesNo: Fact = {
  id: 'strap',
  kind: 'yes_no',
  area: 'equipment',
  askedOf: 'patient',
  label: 'strap',
  ask: words,
  why: words,
  source: 'common practice',
}
const lane: Fact = { ...yesNo, id: 'lane_m', kind: 'number', unit: 'm', min: 0, max: 30, area: 'space' }
const stature: Fact = { ...yesNo, id: 'stature_cm', kind: 'number', unit: 'cm', min: 80, max: 230, measures: 'stature' }
const seat: Fact = { ...yesNo, id: 'seat_cm', kind: 'number', unit: 'cm', min: 20, max: 120, area: 'seat' }

describe('an answer as it was typed', () => {
  test.each([
    ['yes', true],
    ['no', false],
    ['not_sure', 'not_sure'],
  ])('%s is understood', (raw, value) => {
    expect(parseAnswer(yesNo, raw)).toEqual({ ok: true, value })
  })

  // 1 ft = 0.3048 m and 1 in = 2.54 cm exactly (international yard and pound agreement, 1959).
  test.each([
    ['12', 'ft', lane, 3.65],
    ['10', 'ft', lane, 3.04],
    ['3.5', 'm', lane, 3.5],
    ['3,5', 'm', lane, 3.5],
    ['320', 'cm', lane, 3.2],
    // Counted short: the mean step of women is 0.66 m (Murray 1970), a shoe is longer than the foot in it.
    ['7', 'steps', lane, 3.5],
    ['15', 'shoes', lane, 3.6],
    ['17', 'in', seat, 43],
    ['43', 'cm', seat, 43],
  ])('%s %s is kept in the protocol unit, never rounded up', (raw, unit, fact, value) => {
    expect(parseAnswer(fact as Fact, raw as string, unit as string)).toEqual({ ok: true, value })
  })

  // 5 ft 7 in are 67 in, 170.18 cm; 6 ft are 182.88 cm.
  test.each(['5 ft 7 in', '5\'7"', '5 7', '5-7', '5’7', '5 feet 7 inches', '5 pies 7 pulgadas', '5FT7'])(
    'a height of %s is 170 cm',
    (raw) => expect(parseAnswer(stature, raw, 'ft_in')).toEqual({ ok: true, value: 170 }),
  )
  test.each(['6', '6 ft', "6'", '6 ft 0 in'])('a height of %s is 182 cm', (raw) => {
    expect(parseAnswer(stature, raw, 'ft_in')).toEqual({ ok: true, value: 182 })
  })
  // 5.7 could be 5 ft 7 in or 5.7 ft, 57 could be inches: a guess would draw a wrong room.
  test.each(['5.7', '57', '5 ft 12 in', '170', 'tall', '5 ft 7 in 3'])('a height of %s is asked again', (raw) => {
    expect(parseAnswer(stature, raw, 'ft_in')).toMatchObject({ ok: false, error: { code: 'not_a_number' } })
  })
  test('every height that can be kept is shown again as itself', () => {
    for (let cm = 80; cm <= 230; cm += 1) {
      const { raw, unit } = asTyped(stature, cm)
      expect(parseAnswer(stature, raw, unit)).toEqual({ ok: true, value: cm })
    }
    expect(asTyped(stature, 170)).toEqual({ raw: '5 ft 7 in', unit: 'ft_in' })
  })

  test.each([
    ['', yesNo, 'answer_missing'],
    ['  ', lane, 'answer_missing'],
    ['maybe', yesNo, 'answer_not_offered'],
    ['ten', lane, 'not_a_number'],
    ['-3', lane, 'not_a_number'],
    ['1e3', lane, 'not_a_number'],
    ['31', lane, 'out_of_range'],
    ['<script>', yesNo, 'answer_not_offered'],
  ])('%j is refused by name', (raw, fact, code) => {
    expect(parseAnswer(fact as Fact, raw as string)).toMatchObject({ ok: false, error: { code } })
  })

  // Safety: a conversion may make a room shorter than it is, never longer.
  test('a length in feet never grows when it is kept in metres', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 95 }), (feet) => {
        const parsed = parseAnswer(lane, String(feet), 'ft')
        expect(parsed.ok && typeof parsed.value === 'number' && parsed.value <= feet * 0.3048 + 1e-9).toBe(true)
      }),
    )
  })

  // Body segments as shares of stature: Drillis and Contini 1966.
  test('a line that was paced or laid out in shoes is never told longer than by a tape', () => {
    for (const [unit, leastM] of [
      ['steps', STEP_LENGTH_M.women],
      ['shoes', 0.152 * 1.6],
    ] as const)
      for (let count = 1; count <= 30; count += 1) {
        const parsed = parseAnswer(lane, String(count), unit)
        expect(parsed.ok && typeof parsed.value === 'number' && parsed.value <= count * leastM).toBe(true)
      }
  })

  test('the unit people here use comes first', () => {
    expect(unitsFor(lane)).toEqual(['ft', 'm', 'steps', 'shoes'])
    expect(unitsFor(seat)).toEqual(['in', 'cm'])
  })

  // Worked by hand from 1 ft = 0.3048 m and 1 in = 2.54 cm: kept as 3.65 m and 50 cm.
  test.each([
    ['12', 'ft', lane],
    ['20', 'in', seat],
  ] as const)('%s %s is shown again as it was typed', (raw, unit, fact) => {
    const parsed = parseAnswer(fact, raw, unit)
    expect(parsed.ok && asTyped(fact, parsed.value)).toEqual({ raw, unit })
  })

  test('opening and saving a page never changes an answer', () => {
    const lengths = fc.integer({ min: 0, max: 3000 }).map((cm) => cm / 100)
    fc.assert(
      fc.property(fc.oneof(lengths, fc.constant('not_sure' as const)), (answer) => {
        const { raw, unit } = asTyped(lane, answer)
        expect(parseAnswer(lane, raw, unit)).toEqual({ ok: true, value: answer })
      }),
    )
    for (const answer of [true, false, 'not_sure'] as const) {
      expect(parseAnswer(yesNo, asTyped(yesNo, answer).raw)).toEqual({ ok: true, value: answer })
    }
    expect(asTyped(yesNo, undefined)).toEqual({ raw: '', unit: undefined })
  })

  test('the limits that are named are accepted themselves, in either unit', () => {
    const fault = { code: 'out_of_range', min: 15, max: 110, unit: 'cm' } as const
    expect(rangeIn(fault, 'cm')).toEqual({ min: 15, max: 110 })
    // 15 / 2.54 = 5.9055… and 110 / 2.54 = 43.307…
    expect(rangeIn(fault, 'in')).toEqual({ min: 6, max: 43.3 })
  })
})
