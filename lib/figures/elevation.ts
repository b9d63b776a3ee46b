/** A set-up from the side: camera, area in view, patient, and the measures between them. */
import { halfTangent } from '#lib/domain/geometry/lens.ts'
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { captionOf, distanceWords, FIGURE_WORDS, heightWords } from '#lib/words/set-up-words.ts'
import { heightOf, widthOf } from './dimension.ts'
import type { Drawing, Shape } from './drawing.ts'
import { PAST_THE_END_CM, personFor } from './person.ts'
import { areaOf, lineOf, type Point, sceneOf, WIDTH } from './scene.ts'

/** Room for the measures under the floor. */
const UNDER = 44

export function elevation(geometry: SetUpGeometry, locale: Locale): Drawing {
  const { body, camera, seen, standOffCm, lane, roomCm } = geometry
  const person = personFor(geometry)
  const points = [...person.limbs, ...person.furniture].flat()
  const [headAt, headUp] = person.head.at
  const tallest = Math.max(headUp + person.head.radiusCm, ...points.map(([, up]) => up), seen.upToCm)
  const deepest = Math.max(headAt + person.head.radiusCm, ...points.map(([across]) => across))
  // In the hand, the phone is above the feet; beside a bed it stands in front of the drawing, level with the bed's end; else
  // the patient is as far away as the set-up asks.
  const isBeside = geometry.position === 'lying'
  const feet = camera.handheld || isBeside ? 30 : standOffCm
  const lens: Point = [
    camera.handheld ? feet + body.footLengthCm / 2 : isBeside ? feet + PAST_THE_END_CM : 0,
    camera.heightCm,
  ]
  const endCm = Math.max(feet + deepest, lane === null ? 0 : roomCm)
  const scene = sceneOf(endCm, tallest, 0)
  const { x, y, scale } = scene
  const moved = (line: readonly Point[]) => line.map(([across, up]): Point => [feet + across, up])
  const floor = y(0)
  // On the right what the camera sees, or how high the bed is.
  const rightCm = isBeside ? (geometry.supportCm ?? seen.upToCm) : seen.upToCm
  return {
    width: WIDTH,
    height: Math.ceil(scene.height + UNDER),
    title: `${FIGURE_WORDS.elevation[locale]}: ${geometry.title[locale]}`,
    description: captionOf(geometry, locale),
    shapes: [
      ...(isBeside
        ? []
        : [{ hand: 'wedge', path: areaOf(scene, wedge(geometry, lens, endCm, tallest)) } satisfies Shape]),
      { hand: 'ink', path: `M${x(-5)} ${floor}H${x(endCm + 5)}` },
      ...person.furniture.map((line): Shape => ({ hand: 'faint', path: lineOf(scene, moved(line)) })),
      ...person.limbs.map((line): Shape => ({ hand: 'ink', path: lineOf(scene, moved(line)) })),
      ...person.joints.map(
        ([across, up]): Shape => ({ hand: 'paper', circle: { at: [x(feet + across), y(up)], radius: 4 } }),
      ),
      { hand: 'paper', circle: { at: [x(feet + headAt), y(headUp)], radius: person.head.radiusCm * scale } },
      ...phone([x(lens[0]), y(lens[1])], camera.handheld ? null : floor, isFlat(geometry), isBeside),
      ...(camera.handheld
        ? heightOf(x(lens[0]) - 24, floor, y(lens[1]), 'left', heightWords(camera.heightCm))
        : [
            ...heightOf(x(0) - 14, floor, y(camera.heightCm), 'left', heightWords(camera.heightCm)),
            ...heightOf(x(endCm) + 10, floor, y(rightCm), 'right', heightWords(rightCm)),
            ...(isBeside ? [] : widthOf(x(0), x(standOffCm), floor + 16, distanceWords(standOffCm))),
          ]),
    ],
  }
}

function isFlat({ camera }: SetUpGeometry): boolean {
  return camera.handheld || camera.orientation === 'landscape'
}

/** What the lens sees, cut off at the floor and at the edge of the drawing. */
function wedge({ camera }: SetUpGeometry, lens: Point, endCm: number, topCm: number): Point[] {
  const [at, up] = lens
  if (camera.handheld) {
    const half = up * halfTangent(camera.view.verticalDeg)
    return [lens, [at - half, 0], [at + half, 0]]
  }
  const slope = halfTangent(camera.view.verticalDeg)
  const toTop = (topCm - up) / slope
  const upper: Point[] =
    toTop < endCm
      ? [
          [toTop, topCm],
          [endCm, topCm],
        ]
      : [[endCm, up + endCm * slope]]
  const toFloor = up / slope
  const lower: Point[] =
    toFloor < endCm
      ? [
          [endCm, 0],
          [toFloor, 0],
        ]
      : [[endCm, up - endCm * slope]]
  return [lens, ...upper, ...lower]
}

function phone([x, y]: Point, floor: number | null, lies: boolean, isFacing: boolean): Shape[] {
  const high = lies ? 14 : 28
  const wide = isFacing ? 42 - high : 6
  const stand = `M${x - 8} ${floor}L${x} ${y}L${x + 2} ${floor}`
  return [
    ...(floor === null ? [] : [{ hand: 'faint', path: stand } satisfies Shape]),
    { hand: 'solid', box: { at: [x - wide / 2, y - high / 2], width: wide, height: high } },
  ]
}
