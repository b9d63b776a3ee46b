/**
 * How far from the camera must the patient be, and how long must the room be?
 *
 * Pinhole model: a level camera at height c with a vertical field of view V sees
 * the floor and everything up to h from a distance of max(h − c, c) / tan(V / 2).
 * Nearer than that, feet or knees fall out of the picture and the visit finds out.
 */

/** Mean step length of adult men and women in metres: Murray 1964 (men), Murray 1970 (women). */
export const STEP_LENGTH_M = { men: 0.79, women: 0.66 } as const

/** The least distance in cm from which a level camera sees from the floor up to a height. */
export function standOff(view: { mustSeeUpToCm: number; cameraHeightCm: number; fieldOfViewDeg: number }): number {
  const reach = Math.max(view.mustSeeUpToCm - view.cameraHeightCm, view.cameraHeightCm)
  return reach / Math.tan(((view.fieldOfViewDeg / 2) * Math.PI) / 180)
}

/** The straight line in metres that a walk needs: steps, room to turn, and the distance to the camera. */
export function laneNeeded(walk: { steps: number; stepLengthM: number; turnM: number; standOffM: number }): number {
  return walk.steps * walk.stepLengthM + walk.turnM + walk.standOffM
}
