/**
 * How tall is what, on this patient?
 *
 * Heights of joints as shares of stature, after Drillis R, Contini R. Body Segment Parameters, New York University 1966,
 * as printed in Winter DA, Biomechanics and Motor Control of Human Movement. The heights of ankle, knee, hip and shoulder
 * were held against two public implementations of the table; the widths and the foot's length are from memory.
 */
import { STEP_LENGTH_M } from './stand-off.ts'

/** Shares of stature. */
export const SHARES = {
  ankle: 0.039,
  knee: 0.285,
  hip: 0.53,
  shoulder: 0.818,
  chin: 0.87,
  footLength: 0.152,
  hipWidth: 0.191,
  shoulderWidth: 0.259,
} as const

/**
 * Where stature was not told: about the mean of men in the United States (NHANES, from memory: 175 cm). Taller than most
 * people, because a room that is too long is no harm and one that is too short ends the walk.
 */
export const DEFAULT_STATURE_CM = 175

/**
 * How far a seat's top lies under the middle of the knee: the mean man's 50 cm (0.285 of 175 cm) less a popliteal height of
 * 43 cm (from memory).
 */
export const SEAT_UNDER_KNEE_CM = 7

/** The body that a set-up is measured for, in cm. */
export type Body = {
  statureCm: number
  /** Nobody told it: the default stands. */
  isAssumed: boolean
  ankleCm: number
  kneeCm: number
  hipCm: number
  shoulderCm: number
  chinCm: number
  footLengthCm: number
  hipWidthCm: number
  shoulderWidthCm: number
  stepCm: number
}

/** The body of a given stature; null = not told. */
export function bodyOf(toldCm: number | null): Body {
  const statureCm = toldCm ?? DEFAULT_STATURE_CM
  return {
    statureCm,
    isAssumed: toldCm === null,
    ankleCm: SHARES.ankle * statureCm,
    kneeCm: SHARES.knee * statureCm,
    hipCm: SHARES.hip * statureCm,
    shoulderCm: SHARES.shoulder * statureCm,
    chinCm: SHARES.chin * statureCm,
    footLengthCm: SHARES.footLength * statureCm,
    hipWidthCm: SHARES.hipWidth * statureCm,
    shoulderWidthCm: SHARES.shoulderWidth * statureCm,
    // The men's mean grows with stature: for the same stature it is the longer of the two published means.
    stepCm: STEP_LENGTH_M.men * 100 * (statureCm / DEFAULT_STATURE_CM),
  }
}
