/** Somebody on a bed from above: the camera beside its end, and which leg is next to it. */
import { halfTangent } from '#lib/domain/geometry/lens.ts'
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { captionOf, distanceWords, FIGURE_WORDS } from '#lib/words/set-up-words.ts'
import { widthOf } from './dimension.ts'
import type { Drawing, Shape } from './drawing.ts'
import { PAST_THE_END_CM, PAST_THE_HEAD_CM } from './person.ts'
import { areaOf, lineOf, type Point, sceneOf, WIDTH } from './scene.ts'

/** A single bed's mattress: common practice. */
const BED_WIDTH_CM = 90
const UNDER = 40

export function bedPlan(geometry: SetUpGeometry, locale: Locale): Drawing {
  const { body, camera, nearSide, standOffCm } = geometry
  // Face down the left leg is next to the camera when the head points up in the drawing, the right one when it points down.
  const up = nearSide === 'right' ? -1 : 1
  const axis = standOffCm + body.hipWidthCm / 2
  const farEdge = axis + BED_WIDTH_CM / 2
  const head = body.statureCm + PAST_THE_HEAD_CM - PAST_THE_END_CM
  const toes = PAST_THE_END_CM + 8
  const scene = sceneOf(farEdge, up > 0 ? head : toes, up > 0 ? toes : head)
  const { x, y, scale } = scene
  /** So far along the body from the soles, so far to the right of its middle. */
  const at = (along: number, across: number): Point => [axis + across, up * (along - PAST_THE_END_CM)]
  const apart = body.hipWidthCm / 4
  const shoulder = body.shoulderWidthCm / 2
  const bed = [
    at(PAST_THE_END_CM, -BED_WIDTH_CM / 2),
    at(PAST_THE_END_CM, BED_WIDTH_CM / 2),
    at(body.statureCm + PAST_THE_HEAD_CM, BED_WIDTH_CM / 2),
    at(body.statureCm + PAST_THE_HEAD_CM, -BED_WIDTH_CM / 2),
  ]
  const trunk = [
    at(body.hipCm, -apart),
    at(body.hipCm, apart),
    at(body.shoulderCm, shoulder),
    at(body.shoulderCm, -shoulder),
  ]
  const legs = ([-1, 1] as const).map((side) => ({
    letter: side * up < 0 ? ('left' as const) : ('right' as const),
    line: [at(body.hipCm, side * apart), at(body.kneeCm, side * apart), at(body.ankleCm, side * apart)],
    foot: at(body.ankleCm / 2, side * apart),
    side,
  }))
  const crown = at((body.chinCm + body.statureCm) / 2, 0)
  const [width, high] = camera.orientation === 'landscape' ? [6, 28] : [6, 14]
  return {
    width: WIDTH,
    height: Math.ceil(scene.height + UNDER),
    title: `${FIGURE_WORDS.floorPlan[locale]}: ${geometry.title[locale]}`,
    description: captionOf(geometry, locale),
    shapes: [
      { hand: 'wedge', path: areaOf(scene, wedge(geometry, farEdge, up > 0 ? toes : head)) },
      { hand: 'faint', path: areaOf(scene, bed) },
      { hand: 'ink', path: areaOf(scene, trunk) },
      ...legs.flatMap(({ letter, line, foot: [across, along], side }): Shape[] => [
        { hand: 'ink', path: lineOf(scene, line) },
        { hand: 'paper', circle: { at: [x(across), y(along)], radius: Math.max(body.ankleCm * 0.7 * scale, 4) } },
        { words: [FIGURE_WORDS[letter][locale]], at: [x(across) + side * 20, y(along) + 5], align: 'middle' },
      ]),
      {
        hand: 'paper',
        circle: { at: [x(crown[0]), y(crown[1])], radius: ((body.statureCm - body.chinCm) / 2) * scale },
      },
      { hand: 'solid', box: { at: [x(0) - width / 2, y(0) - high / 2], width, height: high } },
      ...widthOf(x(0), x(standOffCm), scene.height + 8, distanceWords(standOffCm)),
    ],
  }
}

/** What the lens sees of the floor and the bed, cut off at the lower edge of the drawing. */
function wedge({ camera }: SetUpGeometry, farEdge: number, below: number): Point[] {
  const slope = halfTangent(camera.view.horizontalDeg)
  const reach = farEdge * slope
  const lower: Point[] =
    reach <= below
      ? [[farEdge, -reach]]
      : [
          [farEdge, -below],
          [below / slope, -below],
        ]
  return [[0, 0], [farEdge, reach], ...lower]
}
