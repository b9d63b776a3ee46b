/** The longest clear line at home from above, to scale, with the walk laid over it: does it reach? */
import { halfTangent } from '#lib/domain/geometry/lens.ts'
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { clearWords, distanceWords, FIGURE_WORDS, lineWords } from '#lib/words/set-up-words.ts'
import { widthOf } from './dimension.ts'
import type { Drawing, Shape } from './drawing.ts'
import { areaOf, round, sceneOf, WIDTH } from './scene.ts'

/** A line that is much longer than the walk leaves the drawing, so that the walk stays large enough to see. */
const SHOWN_WALKS = 2
const HALF_WIDE_CM = 40
/** No measure stands beside this drawing. */
const SIDE = 16

/** Only where the patient walks, and how long the line is was told. */
export function linePlan(geometry: SetUpGeometry, locale: Locale): Drawing | null {
  const { lane, camera, standOffCm, roomCm } = geometry
  if (lane === null || lane.haveCm === null) return null
  const shownCm = Math.min(lane.haveCm, SHOWN_WALKS * roomCm)
  const scene = sceneOf(Math.max(shownCm, roomCm), HALF_WIDE_CM, HALF_WIDE_CM, { side: SIDE })
  const { x, y, scale } = scene
  const [middle, top, floor] = [y(0), y(HALF_WIDE_CM), y(-HALF_WIDE_CM)]
  const phone = camera.orientation === 'landscape' ? 28 : 14
  const reachCm = Math.min(roomCm, HALF_WIDE_CM / halfTangent(camera.view.horizontalDeg))
  const end = x(shownCm)
  const turn = round((lane.turnCm / 2) * scale)
  const steps = Array.from(
    { length: lane.steps + 1 },
    (_, step): Shape => ({
      hand: 'ink',
      path: `M${x(standOffCm + (step * lane.walkCm) / lane.steps)} ${middle - 6}v12`,
    }),
  )
  return {
    width: WIDTH,
    height: Math.ceil(scene.height + 76),
    title: FIGURE_WORDS.line[locale],
    description: lineWords(geometry, locale),
    shapes: [
      {
        hand: 'wedge',
        path: areaOf(scene, [
          [0, 0],
          [reachCm, HALF_WIDE_CM],
          [roomCm, HALF_WIDE_CM],
          [roomCm, -HALF_WIDE_CM],
          [reachCm, -HALF_WIDE_CM],
        ]),
      },
      { hand: 'dotted', path: `M${x(standOffCm)} ${middle}H${x(standOffCm + lane.walkCm)}` },
      ...steps,
      { hand: 'ink', path: `M${x(roomCm - lane.turnCm)} ${round(middle + turn)}a${turn} ${turn} 0 1 0 0 ${-2 * turn}` },
      { hand: 'solid', box: { at: [x(0) - 3, middle - phone / 2], width: 6, height: phone } },
      // What there is: the floor, and the wall at its end or an arrow where it goes on.
      { hand: 'ink', path: `M${x(0)} ${floor}H${end}` },
      {
        hand: 'ink',
        path: shownCm < lane.haveCm ? `M${end - 9} ${floor - 6}L${end} ${floor}l-9 6` : `M${end} ${top}V${floor}`,
      },
      ...widthOf(x(0), x(roomCm), floor + 12, `${FIGURE_WORDS.takes[locale]} ${distanceWords(roomCm)}`, 'left'),
      ...widthOf(x(0), end, floor + 48, `${FIGURE_WORDS.line[locale]}: ${clearWords(lane.haveCm)}`, 'left'),
    ],
  }
}
