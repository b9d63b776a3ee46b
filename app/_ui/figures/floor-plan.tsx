/** A set-up from above: what the camera sees of the floor, where the feet are, and how long the line must be. */
import { useId } from 'react'
import { halfTangent } from '#lib/domain/geometry/lens.ts'
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'
import { captionOf, distanceWords, FIGURE_WORDS } from '#lib/words/set-up-words.ts'
import { WidthOf } from './dimension.tsx'
import styles from './figures.module.css'
import { type Point, pointsOf, sceneOf, WIDTH } from './scene.ts'

export function FloorPlan({ geometry, locale }: { geometry: SetUpGeometry; locale: Locale }) {
  const { body, camera, standOffCm, lane, seen, roomCm } = geometry
  const halfWide = Math.max(seen.widthCm * 0.9, 40)
  const scene = sceneOf(roomCm, halfWide, halfWide)
  const { x, y, scale } = scene
  const middle = y(0)
  const foot = { long: body.footLengthCm * scale, wide: Math.max(body.footLengthCm * 0.37 * scale, 5) }
  const feet = feetOf(geometry)
  const under = y(-halfWide)
  const id = useId()
  return (
    <svg
      viewBox={`0 0 ${WIDTH} ${Math.ceil(scene.height + (lane === null ? 36 : 108))}`}
      role="img"
      aria-labelledby={id}
      className={styles.drawing}
    >
      <title id={id}>{`${FIGURE_WORDS.floorPlan[locale]}: ${geometry.title[locale]}`}</title>
      <desc>{captionOf(geometry, locale)}</desc>
      <polygon className={styles.wedge} points={pointsOf(scene, wedge(camera.view.horizontalDeg, roomCm, halfWide))} />
      {feet.map(({ letter, at: [across, up], turnedDeg }) => (
        <g key={letter ?? up} transform={`translate(${x(across)} ${y(up)}) rotate(${turnedDeg})`}>
          <path className={styles.paper} d={solePath(foot.long, foot.wide)} />
        </g>
      ))}
      {feet.map(({ letter, at: [across, up], beside }) =>
        letter === null ? null : (
          <text
            key={letter}
            className={styles.words}
            textAnchor="middle"
            x={x(across) + beside[0] * (foot.wide / 2 + 14)}
            y={y(up) - beside[1] * (foot.wide / 2 + 14) + 5}
          >
            {FIGURE_WORDS[letter][locale]}
          </text>
        ),
      )}
      <rect
        className={styles.solid}
        x={x(0) - 3}
        y={middle - (camera.orientation === 'landscape' ? 14 : 7)}
        width="6"
        height={camera.orientation === 'landscape' ? 28 : 14}
        rx="2"
      />
      <WidthOf from={x(0)} to={x(standOffCm)} y={under + 8}>
        {distanceWords(standOffCm)}
      </WidthOf>
      {lane !== null && (
        <>
          <path
            className={styles.ink}
            d={`M${x(standOffCm)} ${middle}H${x(standOffCm + lane.walkCm)}`}
            strokeDasharray="2 8"
          />
          <WidthOf from={x(standOffCm)} to={x(standOffCm + lane.walkCm)} y={under + 44}>
            {`${lane.steps} ${FIGURE_WORDS.steps[locale]}: ${distanceWords(lane.walkCm)}`}
          </WidthOf>
          <text className={styles.words} x={x(roomCm - lane.turnCm / 2)} y={middle - 26} textAnchor="middle">
            {FIGURE_WORDS.turn[locale]}
          </text>
          <path className={styles.ink} d={`M${x(roomCm - lane.turnCm)} ${middle + 10}a14 14 0 1 0 0 -20`} />
          <WidthOf from={x(0)} to={x(roomCm)} y={under + 80}>
            {distanceWords(roomCm)}
          </WidthOf>
        </>
      )}
    </svg>
  )
}

type Foot = {
  letter: 'left' | 'right' | null
  at: Point
  /** Toes to the right = 0, clockwise. */
  turnedDeg: number
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
  const turnedDeg = (Math.atan2(-looks[1], looks[0]) * 180) / Math.PI
  return (['left', 'right'] as const).map((letter) => {
    const sign = letter === 'left' ? 1 : -1
    const beside: Point = [left[0] * sign, left[1] * sign]
    return {
      letter: facing === null ? null : letter,
      at: [centre + beside[0] * apart, beside[1] * apart],
      turnedDeg,
      beside,
    }
  })
}

/** A sole, toes to the right, around its middle. */
function solePath(long: number, wide: number): string {
  const [l, w] = [long / 2, wide / 2]
  return `M${-l} 0C${-l} ${-w * 1.2} ${-l * 0.3} ${-w * 0.8} 0 ${-w * 0.8}S${l} ${-w * 1.6} ${l} 0S${l * 0.3} ${w * 0.8} 0 ${w * 0.8}S${-l} ${w * 1.2} ${-l} 0Z`
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
