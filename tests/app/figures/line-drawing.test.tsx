/** The line at home, drawn against the walk: what stands in it is what the engine measures, and a picture to scale. */
import { describe, expect, test } from 'vitest'
import { geometryOf } from '#lib/domain/geometry/measure-set-up.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { linePlan } from '#lib/figures/line-plan.ts'
import { clearWords, lineWords } from '#lib/words/set-up-words.ts'

const setUp = footAndAnkle.setUps.find(({ id }) => id === 'lane')!
const measured = (lineM: number | null) =>
  geometryOf({
    setUp,
    statureCm: null,
    supportCm: null,
    side: 'left',
    walk: { lineCm: lineM === null ? null : lineM * 100 },
  })
const drawn = (lineM: number, locale: Locale = 'en') => linePlan(measured(lineM), locale)!

/** The two lengths under the drawing, in its own units: what the walk takes, what there is. */
function lengths(lineM: number): [number, number] {
  const [walk = 0, line = 0] = drawn(lineM).shapes.flatMap((shape) => {
    const [, from, to] = ('path' in shape && shape.hand === 'measure' && /^M(\S+) \S+H([\d.]+)/.exec(shape.path)) || []
    return from === undefined ? [] : [Number(to) - Number(from)]
  })
  return [walk, line]
}

describe('a line at home', () => {
  // Four steps of 79 cm, 1.5 feet of 26.6 cm to turn and 30 cm / tan 30° to the camera: 407.9 cm.
  test.each([1, 2.5, 4.1, 6])('of %f m is drawn to one scale with the walk', (lineM) => {
    const [walk, line] = lengths(lineM)
    expect(line / walk).toBeCloseTo((lineM * 100) / measured(lineM).roomCm, 1)
  })

  test('that is much longer than the walk leaves the drawing, and its words still say how long it is', () => {
    const [walk, line] = lengths(30)
    expect(line / walk).toBeCloseTo(2, 1)
    expect(JSON.stringify(drawn(30).shapes)).toContain('Your line: 30 m (98 ft)')
  })

  test.each([
    [
      4.1,
      'en',
      'Your line is 4.1 m (13 ft). 4 steps, the turn and the space to the phone take 4.1 m (13.5 ft).',
      'enough',
    ],
    [3, 'en', 'Your line is 3 m (9.5 ft). 2 steps, the turn', 'For 4 steps it would need 1.1 m (4 ft) more.'],
    [1, 'en', 'Your line is 1 m (3 ft). 4 steps, the turn', 'Your line is 3.1 m (10.5 ft) too short for that.'],
    [3, 'es', 'Su línea mide 3 m (9.5 ft). 2 pasos, el giro', 'Para 4 pasos le faltan 1.1 m (4 ft).'],
  ] as const)('of %f m is told in words (%s), the same that the drawing carries', (lineM, locale, first, last) => {
    const words = lineWords(measured(lineM), locale)
    expect(words).toContain(first)
    expect(words).toContain(last)
    expect(drawn(lineM, locale).description).toBe(words)
  })

  test('that nobody told is not drawn', () => {
    expect(linePlan(measured(null), 'en')).toBeNull()
    expect(lineWords(measured(null), 'en')).toBe('')
  })

  // 1 ft = 30.48 cm exactly: 410 cm are 13.45 ft, of which 13 whole and no half; 40 ft are kept as 1219 cm.
  test.each([
    [410, '4.1 m (13 ft)'],
    [1219, '12.1 m (40 ft)'],
    [98, '98 cm (38 in)'],
  ])('of %f cm is told as no longer than it was told: %s', (cm, words) => {
    expect(clearWords(cm)).toBe(words)
  })
})
