/** The figures say the numbers they were given and no others, in both languages, and hold nothing that the page's policy refuses. */
import { renderToStaticMarkup } from 'react-dom/server'
import { describe, expect, test } from 'vitest'
import { SetUpFigure } from '#app/_ui/figures/set-up-figure.tsx'
import { geometryOf } from '#lib/domain/geometry/measure-set-up.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { LOCALES, type SetUp, type Side } from '#lib/domain/protocol/schema.ts'
import { captionOf, distanceWords, heightWords } from '#lib/words/set-up-words.ts'

const byId = (id: string): SetUp => footAndAnkle.setUps.find((each) => each.id === id)!
const measured = (setUp: SetUp, side: Side = 'right', lineM?: number) =>
  geometryOf({
    setUp,
    statureCm: null,
    supportCm: setUp.support?.heightCm ?? null,
    side,
    walk: lineM === undefined ? null : { lineCm: lineM * 100 },
  })
const drawn = (...given: Parameters<typeof measured>) =>
  renderToStaticMarkup(<SetUpFigure geometry={measured(...given)} locale="en" />)

const wordsIn = (markup: string) =>
  [...markup.matchAll(/<text[^>]*>(.*?)<\/text>/g)].map(([, inner = '']) => inner.replace(/<[^>]+>/g, ''))

describe('lengths in words', () => {
  // 1 in = 2.54 cm and 1 ft = 30.48 cm exactly.
  test.each([
    [52.1, '53 cm (21 in)'],
    [50.8, '51 cm (20 in)'],
    [121.24, '1.3 m (4 ft)'],
    [487.24, '4.9 m (16 ft)'],
    [304.8, '3.1 m (10 ft)'],
    [304.9, '3.1 m (10.5 ft)'],
  ])('a distance of %f cm is rounded up: %s', (cm, words) => {
    expect(distanceWords(cm)).toBe(words)
  })

  test('a height is rounded to the nearest', () => {
    expect(heightWords(30.4)).toBe('30 cm (12 in)')
    expect(heightWords(100)).toBe('100 cm (39 in)')
  })
})

describe('the walk', () => {
  // Four steps of 79 cm; 1.5 feet of 26.6 cm to turn; 30 cm / tan 30° to the camera; the sum is 407.9 cm.
  test('shows every measure of its geometry, in the drawing and in its caption', () => {
    const words = wordsIn(drawn(byId('lane'), 'left', 4.1))
    for (const each of [
      '30 cm (12 in)',
      '52 cm (21 in)',
      '4 steps: 3.2 m (10.5 ft)',
      '4.1 m (13.5 ft)',
      '50 cm (20 in)',
    ])
      expect(words).toContain(each)
    expect(captionOf(measured(byId('lane'), 'left', 4.1), 'en')).toBe(
      'The phone stands upright, 30 cm (12 in) above the floor. You stand 52 cm (21 in) from it. ' +
        'It sees from the floor up to 50 cm (20 in). 4 steps are 3.2 m (10.5 ft), with 40 cm (16 in) more to turn: ' +
        'a clear line of 4.1 m (13.5 ft). Your line is long enough. Drawn for a person 175 cm (5 ft 9 in) tall.',
    )
  })

  // 250 − 39.9 − 52.0 = 158.1 cm: two steps; 407.9 − 250 = 157.9 cm are missing to four.
  test('on a short line shows the steps that fit, and what is missing to four', () => {
    expect(wordsIn(drawn(byId('lane'), 'left', 2.5))).toContain('2 steps: 1.6 m (5.5 ft)')
    expect(captionOf(measured(byId('lane'), 'left', 2.5), 'en')).toContain(
      'That fits your line. For 4 steps it would need 1.6 m (5.5 ft) more. A hall or an open door may give the rest.',
    )
  })

  // 407.9 − 200 = 207.9 cm.
  test('on a line that is too short for any walk says so', () => {
    expect(captionOf(measured(byId('lane'), 'left', 2), 'en')).toContain(
      'Your line is 2.1 m (7 ft) too short for that.',
    )
  })

  test('says when the line is long enough, in Spanish too', () => {
    expect(captionOf(measured(byId('lane'), 'left', 6), 'es')).toContain('Su línea es suficiente.')
  })
})

describe('left and right are drawn as they are', () => {
  const placeOf = (markup: string, letter: 'L' | 'R') => {
    const found = new RegExp(`x="([\\d.]+)" y="([\\d.]+)"[^>]*>${letter}</text>`).exec(markup)
    return { x: Number(found?.[1]), y: Number(found?.[2]) }
  }

  // From above, camera on the left: who looks at it has the left foot at the lower edge, who turns the back at the upper.
  test('facing the camera, the left foot is below; with the back to it, above', () => {
    const facing = drawn(byId('seat_front'))
    expect(placeOf(facing, 'L').y).toBeGreaterThan(placeOf(facing, 'R').y)
    const away = drawn(byId('stand_back'))
    expect(placeOf(away, 'L').y).toBeLessThan(placeOf(away, 'R').y)
  })

  test.each(['left', 'right'] as const)('side-on, the foot of the %s side is next to the camera', (side) => {
    const markup = drawn(byId('seat_side'), side)
    const [near, far] = side === 'left' ? (['L', 'R'] as const) : (['R', 'L'] as const)
    expect(placeOf(markup, near).x).toBeLessThan(placeOf(markup, far).x)
  })

  // Face down, the left hand is on the left of the head: seen from above, west of it where the head points north.
  test.each(['left', 'right'] as const)('face down, the foot of the %s side is next to the camera', (side) => {
    const markup = drawn(byId('face_down'), side)
    const [near, far] = side === 'left' ? (['L', 'R'] as const) : (['R', 'L'] as const)
    expect(placeOf(markup, near).x).toBeLessThan(placeOf(markup, far).x)
  })

  test('where the phone stands by itself and the patient does not turn, each foot has its letter', () => {
    const lettered = footAndAnkle.setUps.filter((setUp) => />[LR]<\/text>/.test(drawn(setUp))).map(({ id }) => id)
    const stays = ({ id, camera }: SetUp) => !camera.handheld && id !== 'lane'
    expect(lettered).toEqual(footAndAnkle.setUps.filter(stays).map(({ id }) => id))
  })

  test('a set-up that is drawn twice on a page names each drawing apart', () => {
    const figure = <SetUpFigure geometry={measured(byId('seat_front'))} locale="en" />
    const ids = [
      ...renderToStaticMarkup([figure, figure].map((each, at) => <div key={String(at)}>{each}</div>)).matchAll(
        /<title id="([^"]+)"/g,
      ),
    ].map(([, id]) => id)
    expect(new Set(ids).size).toBe(4)
  })

  test('where the protocol does not say which way the patient looks, no foot has a letter', () => {
    const { facing: _, ...unsaid } = byId('seat_front')
    expect(drawn(unsaid)).not.toMatch(/>[LR]<\/text>/)
  })
})

describe.each(footAndAnkle.setUps.map((setUp) => [setUp.id, setUp] as const))('%s', (_, setUp) => {
  test.each(LOCALES)('is drawn in %s with a title, a description in words and the same caption', (locale) => {
    const geometry = measured(setUp)
    const markup = renderToStaticMarkup(<SetUpFigure geometry={geometry} locale={locale} />)
    const caption = captionOf(geometry, locale)
    expect(markup).toContain(`<figcaption`)
    expect(markup.split(caption).length - 1).toBe(markup.split('<svg').length)
    for (const [, id] of markup.matchAll(/aria-labelledby="([^"]+)"/g)) expect(markup).toContain(`<title id="${id}">`)
  })

  test('carries no inline style and no number that is none', () => {
    const markup = drawn(setUp, 'both', setUp.id === 'lane' ? 0 : undefined)
    expect(markup).not.toMatch(/\sstyle=/)
    expect(markup).not.toMatch(/NaN|Infinity|undefined/)
  })
})
