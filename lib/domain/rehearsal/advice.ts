/**
 * What could be mended in a camera's picture or its line? Advice, never a condition: nothing here stands in the way of a
 * visit. Runs in the browser, so it is kept apart from the form that is checked on the server.
 */
import type { Readings } from './readings.ts'

/** The longer side of the frames that are measured, in picture points. */
export const MEASURED_SIDE = 320

export const ADVICE = [
  'turn_phone',
  'too_dark',
  'too_bright',
  'pale',
  'blurred',
  'shakes',
  'coarse',
  'jerky',
  'slow_line',
  'late_line',
] as const
export type Advice = (typeof ADVICE)[number]

/**
 * Limits of a picture that a clinician can work with. Where no standard is named: common practice, tried on pictures of
 * known blur, light and movement in the tests.
 */
export const LIMITS = {
  /** Mean shade of a room that is lit; full daylight on white tiles is over the upper one. */
  brightness: { least: 60, most: 215 },
  contrast: 18,
  sharpness: 0.008,
  /** At rest a propped phone moves by nothing; a held one by about 1 % of the picture. */
  shake: 0.02,
  /** Shorter side of the picture. 480 lines is the least that telehealth guidance commonly asks for. */
  lines: 480,
  /** Fewer pictures a second than this break up a gait. */
  perSecond: 15,
  /** A call of 480 lines needs about 1 Mbit/s. */
  downKbps: 1000,
  /** ITU-T G.114 (05/2003): up to 400 ms one way is acceptable for planning, and more is not; there and back twice that. */
  roundTripMs: 800,
} as const

/** What the patient could mend, the most telling first; empty = the picture is good. */
export function adviceFor(readings: Readings, orientation: 'portrait' | 'landscape'): Advice[] {
  const { frame, brightness, contrast, sharpness, shake, line } = readings
  const isTurned = orientation === 'portrait' ? frame.width > frame.height : frame.height > frame.width
  const isDark = brightness < LIMITS.brightness.least
  const isBright = brightness > LIMITS.brightness.most
  const found: Record<Advice, boolean> = {
    turn_phone: isTurned,
    too_dark: isDark,
    too_bright: isBright,
    // In the dark, or in glare, all is one shade: the light comes first.
    pale: contrast < LIMITS.contrast && !isDark && !isBright,
    // What moves is blurred, and what is one shade has no edges: neither is put right by cleaning the lens.
    blurred: sharpness < LIMITS.sharpness && contrast >= LIMITS.contrast && shake <= LIMITS.shake,
    shakes: shake > LIMITS.shake,
    coarse: Math.min(frame.width, frame.height) < LIMITS.lines,
    jerky: frame.perSecond < LIMITS.perSecond,
    slow_line: line !== null && line.downKbps < LIMITS.downKbps,
    late_line: line !== null && line.roundTripMs > LIMITS.roundTripMs,
  }
  return ADVICE.filter((advice) => found[advice])
}

/** Where in the picture, from 0 = its top to 1 = its bottom, a height at the patient's distance is seen by a level camera. */
export function heightInPicture(
  heightCm: number,
  camera: { heightCm: number; verticalDeg: number; distanceCm: number },
): number {
  const half = camera.distanceCm * Math.tan((camera.verticalDeg * Math.PI) / 360)
  return 0.5 - (heightCm - camera.heightCm) / (2 * half)
}
