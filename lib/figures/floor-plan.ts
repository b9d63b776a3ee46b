/** A set-up from above: what the camera sees of the floor, where the feet are, and how long the line must be. */
import { halfTangent } from '#lib/domain/geometry/lens.ts'
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { captionOf, distanceWords, FIGURE_WORDS } from '#lib/words/set-up-words.ts'
import { widthOf } from './dimension.ts'
import { type Drawing, type Shape, WORDS_LINE } from './drawing.ts'
import { areaOf, type Point, round, sceneOf, WIDTH } from './scene.ts'

/** The floor says less than the side view, and takes less room. */
const MOST_HEIGHT = 110

export function floorPlan(geometry: SetUpGeometry, locale: Locale): Drawing {
  const { body, camera, standOffCm, lane, seen, roomCm } = geometry
  const halfWide = Math.max(seen.widthCm * 0.9, 40)
  const scene = sceneOf(roomCm, halfWide, halfWide, {
    top: lane === null ? undefined : WORDS_LINE,
    mostHeight: MOST_HEIGHT,
  })
  const { x, y, scale } = scene
  const middle = y(0)
  const foot = { long: body.footLengthCm * scale, wide: Math.max(body.footLengthCm * 0.37 * scale, 5) }
  const feet = feetOf(geometry)
  const under = y(-halfWide)
  const phone = camera.orientation === 'landscape' ? 28 : 14
  const letters = feet.flatMap(({ letter, at: [across, up], beside }): Shape[] => {
    if (letter === null) return []
    const far = foot.wide / 2 + 14
    const at: Point = [x(across) + beside[0] * far, y(up) - beside[1] * far + 5]
    return [{ words: [FIGURE_WORDS[letter][locale]], at, align: 'middle' }]
  })
  const steps = lane && `${lane.steps} ${FIGURE_WORDS.steps[locale]}: ${distanceWords(lane.walkCm)}`
  return {
    width: WIDTH,
    height: Math.ceil(scene.height + (lane === null ? 36 : 108)),
    title: `${FIGURE_WORDS.floorPlan[locale]}: ${geometry.title[locale]}`,
    description: captionOf(geometry, locale),
    shapes: [
      { hand: 'wedge', path: areaOf(scene, wedge(camera.view.horizontalDeg, roomCm, halfWide)) },
      ...feet.map(
        ({ at: [across, up], looks }): Shape => ({
          hand: 'paper',
          path: solePath([x(across), y(up)], looks, foot),
        }),
      ),
      ...letters,
      { hand: 'solid', box: { at: [x(0) - 3, middle - phone / 2], width: 6, height: phone } },
      ...widthOf(x(0), x(standOffCm), under + 8, distanceWords(standOffCm)),
      ...(lane === null || steps === null
        ? []
        : ([
            { hand: 'dotted', path: `M${x(standOffCm)} ${middle}H${x(standOffCm + lane.walkCm)}` },
            ...widthOf(x(standOffCm), x(standOffCm + lane.walkCm), under + 44, steps),
            {
              words: [FIGURE_WORDS.turn[locale]],
              at: [x(roomCm - lane.turnCm / 2), middle - 26],
              align: 'middle',
            },
            { hand: 'ink', path: `M${x(roomCm - lane.turnCm)} ${middle + 10}a14 14 0 1 0 0 -20` },
            ...widthOf(x(0), x(roomCm), under + 80, distanceWords(roomCm)),
          ] as const)),
    ],
  }
}

type Foot = {
  letter: 'left' | 'right' | null
  at: Point
  /** The way the toes point, across and up. */
  looks: Point
  /** Where the letter stands: to the outer side of the foot, across and up. */
  beside: Point
}

/** Both feet as they are: which one is the left follows from where the patient looks, and from nothing else. */
function feetOf({ facing, nearSide, body, standOffCm }: SetUpGeometry): Foot[] {
  // Feet stand about as far apart as the hip joints, half the width of the hips: common practice.
  const apart = body.hipWidthCm / 4
  const half = body.footLengthCm / 2
  // The way the toes point, across and up, with the camera on the left.
  const looks: Point = facing === 'away' ? [1, 0] : facing === 'side' ? [0, nearSide === 'right' ? -1 : 1] : [-1, 0]
  // A quarter turn to the left of where the toes point.
  const left: Point = [-looks[1], looks[0]]
  const centre = standOffCm + (facing === 'side' ? apart + body.footLengthCm * 0.2 : half)
  return (['left', 'right'] as const).map((letter) => {
    const sign = letter === 'left' ? 1 : -1
    const beside: Point = [left[0] * sign, left[1] * sign]
    return {
      letter: facing === null ? null : letter,
      at: [centre + beside[0] * apart, beside[1] * apart],
      looks,
      beside,
    }
  })
}

/** A sole around its middle, its toes the way the foot looks. */
function solePath([x, y]: Point, [across, up]: Point, { long, wide }: { long: number; wide: number }): string {
  const [l, w] = [long / 2, wide / 2]
  const at = (along: number, aside: number) =>
    `${round(x + across * along + up * aside)} ${round(y - up * along + across * aside)} `
  return [
    `M${at(-l, 0)}C${at(-l, -w * 1.2)}${at(-l * 0.3, -w * 0.8)}${at(0, -w * 0.8)}`,
    `S${at(l, -w * 1.6)}${at(l, 0)}S${at(l * 0.3, w * 0.8)}${at(0, w * 0.8)}S${at(-l, w * 1.2)}${at(-l, 0)}Z`,
  ].join('')
}

function wedge(horizontalDeg: number, roomCm: number, halfWide: number): Point[] {
  const slope = halfTangent(horizontalDeg)
  const toEdge = halfWide / slope
  if (toEdge >= roomCm)
    return [
      [0, 0],
      [roomCm, roomCm * slope],
      [roomCm, -roomCm * slope],
    ]
  return [
    [0, 0],
    [toEdge, halfWide],
    [roomCm, halfWide],
    [roomCm, -halfWide],
    [toEdge, -halfWide],
  ]
}
