/**
 * How much does the camera see, held upright or on its side?
 *
 * Nobody at home knows their camera's angle. The default is meant to be a narrow one, so that what fits in it fits in most
 * others. It rests on a single old telephone, its sensor 4.54 mm long and its lens of 3.85 mm (from memory): 61 degrees on
 * the long side, of which 60 are taken. No survey of cameras stands behind it, and a narrower one would want more room.
 * That a video call cuts the picture to 16 by 9 is common practice; it leaves 36 degrees on the short side.
 */
export type Orientation = 'portrait' | 'landscape'
export type FieldOfView = { verticalDeg: number; horizontalDeg: number }

/** Degrees that the long side of the picture sees. */
export const LONG_SIDE_DEG = 60
const SHORT_BY_LONG = 9 / 16

/** What a camera sees upwards and sideways; the long side is the picture's height in portrait. */
export function fieldOfView(orientation: Orientation, longSideDeg: number = LONG_SIDE_DEG): FieldOfView {
  const shortSideDeg = degrees(2 * Math.atan(SHORT_BY_LONG * halfTangent(longSideDeg)))
  return orientation === 'portrait'
    ? { verticalDeg: longSideDeg, horizontalDeg: shortSideDeg }
    : { verticalDeg: shortSideDeg, horizontalDeg: longSideDeg }
}

/** The tangent of half an angle: half of what is seen, for each length of distance. */
export function halfTangent(deg: number): number {
  return Math.tan((deg * Math.PI) / 360)
}

function degrees(radians: number): number {
  return (radians * 180) / Math.PI
}
