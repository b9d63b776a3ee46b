/** A set-up from the side: camera, area in view, patient, and the measures between them. */
import { useId } from 'react'
import { halfTangent } from '#lib/domain/geometry/lens.ts'
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { captionOf, distanceWords, FIGURE_WORDS, heightWords } from '#lib/words/set-up-words.ts'
import { HeightOf, WidthOf } from './dimension.tsx'
import styles from './figures.module.css'
import { PAST_THE_END_CM, personFor } from './person.ts'
import { type Point, pointsOf, sceneOf, WIDTH } from './scene.ts'

/** Room for the measures under the floor. */
const UNDER = 44

export function Elevation({ geometry, locale }: { geometry: SetUpGeometry; locale: Locale }) {
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
  // The same set-up may be drawn twice on a page.
  const id = useId()
  return (
    <svg
      viewBox={`0 0 ${WIDTH} ${Math.ceil(scene.height + UNDER)}`}
      role="img"
      aria-labelledby={id}
      className={styles.drawing}
    >
      <title id={id}>{`${FIGURE_WORDS.elevation[locale]}: ${geometry.title[locale]}`}</title>
      <desc>{captionOf(geometry, locale)}</desc>
      {!isBeside && (
        <polygon className={styles.wedge} points={pointsOf(scene, wedge(geometry, lens, endCm, tallest))} />
      )}
      <line className={styles.ink} x1={x(-5)} y1={floor} x2={x(endCm + 5)} y2={floor} />
      {person.furniture.map((line) => (
        <polyline key={String(line)} className={styles.ink} points={pointsOf(scene, moved(line))} opacity="0.55" />
      ))}
      {person.limbs.map((line) => (
        <polyline key={String(line)} className={styles.ink} points={pointsOf(scene, moved(line))} />
      ))}
      {person.joints.map(([across, up]) => (
        <circle key={`${across} ${up}`} className={styles.paper} cx={x(feet + across)} cy={y(up)} r="4" />
      ))}
      <circle className={styles.paper} cx={x(feet + headAt)} cy={y(headUp)} r={person.head.radiusCm * scale} />
      <Phone
        at={[x(lens[0]), y(lens[1])]}
        floor={camera.handheld ? null : floor}
        lies={isFlat(geometry)}
        isFacing={isBeside}
      />
      {camera.handheld ? (
        <HeightOf x={x(lens[0]) - 24} from={floor} to={y(lens[1])} side="left">
          {heightWords(camera.heightCm)}
        </HeightOf>
      ) : (
        <>
          <HeightOf x={x(0) - 14} from={floor} to={y(camera.heightCm)} side="left">
            {heightWords(camera.heightCm)}
          </HeightOf>
          <HeightOf x={x(endCm) + 10} from={floor} to={y(rightCm)} side="right">
            {heightWords(rightCm)}
          </HeightOf>
          {!isBeside && (
            <WidthOf from={x(0)} to={x(standOffCm)} y={floor + 16}>
              {distanceWords(standOffCm)}
            </WidthOf>
          )}
        </>
      )}
    </svg>
  )
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

type PhoneProps = { at: Point; floor: number | null; lies: boolean; isFacing: boolean }

function Phone({ at: [x, y], floor, lies, isFacing }: PhoneProps) {
  const high = lies ? 14 : 28
  const wide = isFacing ? 42 - high : 6
  return (
    <>
      {floor !== null && (
        <path className={styles.ink} d={`M${x - 8} ${floor}L${x} ${y}L${x + 2} ${floor}`} opacity="0.55" />
      )}
      <rect className={styles.solid} x={x - wide / 2} y={y - high / 2} width={wide} height={high} rx="2" />
    </>
  )
}
