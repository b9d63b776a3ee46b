/** From centimetres in a room to units of a drawing: one scale both ways, so that a figure can be measured. */

/** The width of every drawing, in its own units: about that of a telephone, so that its words stay legible on one. */
export const WIDTH = 400
/** Room for the words of a height at either side. */
const SIDE = 88
const TOP = 6
const MOST_HEIGHT = 180

export type Scene = {
  height: number
  /** Units for each cm. */
  scale: number
  x: (cm: number) => number
  /** Up is less, as in a drawing. */
  y: (cm: number) => number
}

/** A scene of so many cm, `belowCm` under its zero line. */
export function sceneOf(
  widthCm: number,
  aboveCm: number,
  belowCm: number,
  { side = SIDE, top = TOP, mostHeight = MOST_HEIGHT } = {},
): Scene {
  const scale = Math.min((WIDTH - 2 * side) / widthCm, mostHeight / (aboveCm + belowCm))
  const left = (WIDTH - widthCm * scale) / 2
  return {
    height: (aboveCm + belowCm) * scale + top,
    scale,
    x: (cm) => round(left + cm * scale),
    y: (cm) => round(top + (aboveCm - cm) * scale),
  }
}

export type Point = readonly [x: number, y: number]

/** A line through points in cm, as path data. */
export function lineOf({ x, y }: Scene, points: readonly Point[]): string {
  return `M${points.map(([across, up]) => `${x(across)} ${y(up)}`).join('L')}`
}

/** The same line, back to where it began. */
export function areaOf(scene: Scene, points: readonly Point[]): string {
  return `${lineOf(scene, points)}Z`
}

/** To a tenth of a unit: finer than anything is drawn. */
export function round(units: number): number {
  return Math.round(units * 10) / 10
}
