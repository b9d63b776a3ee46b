/**
 * How far from the camera must the patient be, and how long must the room be?
 *
 * Pinhole model: a level camera at height c with a vertical field of view V sees
 * the floor and everything up to h from a distance of max(h − c, c) / tan(V / 2).
 * Nearer than that, feet or knees fall out of the picture and the visit finds out.
 */

/** Mean step length of adult men and women in metres: Murray 1964 (men), Murray 1970 (women). */
export const STEP_LENGTH_M = { men: 0.79, women: 0.66 } as const

/** The least distance in cm from which a level camera sees from a height (the floor, if none is given) up to another. */
export function standOff(view: {
  mustSeeFromCm?: number
  mustSeeUpToCm: number
  cameraHeightCm: number
  fieldOfViewDeg: number
}): number {
  const { mustSeeFromCm = 0, mustSeeUpToCm, cameraHeightCm } = view
  const reach = Math.max(mustSeeUpToCm - cameraHeightCm, cameraHeightCm - mustSeeFromCm)
  return reach / Math.tan(((view.fieldOfViewDeg / 2) * Math.PI) / 180)
}

/** The straight line in metres that a walk needs: steps, room to turn, and the distance to the camera. */
export function laneNeeded(walk: { steps: number; stepLengthM: number; turnM: number; standOffM: number }): number {
  return walk.steps * walk.stepLengthM + walk.turnM + walk.standOffM
}
