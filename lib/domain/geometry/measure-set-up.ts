/**
 * The measuring itself, without the schemas of what is kept: a page takes it along to the browser, where a line is drawn
 * while its length is typed.
 */
import type { SetUp, Side } from '../protocol/schema.ts'
import { type Body, bodyOf, DEFAULT_STATURE_CM, SEAT_UNDER_KNEE_CM } from './body.ts'
import { fieldOfView, halfTangent, type Orientation } from './lens.ts'
import type { Lane, LaneWay, SetUpGeometry } from './set-up-geometry.ts'
import { standOff } from './stand-off.ts'

/** Steps away from the camera that a gait exam wants at the least: common practice. */
export const WALK_STEPS = 4
/**
 * The walk that is worth a look where the line is shorter: two steps make one stride (158 cm of men is twice 79: Murray
 * 1964). It is what the protocol's shorter ways of 2.5 m leave room for.
 */
export const SHORT_WALK_STEPS = 2
/**
 * Room to turn on the spot past the last heel, in lengths of the patient's own foot: the foot itself and half of another to
 * the wall (common practice). With the mean man's four steps and the least distance to a lens that sees his lower legs
 * (316 + 40 + 52 cm) it makes the 4.1 m that the protocol asks for.
 */
export const TURN_FEET = 1.5
/**
 * The least distance at which a steady camera is put where nobody walks: 0.9 to 1.8 m (Emara AK et al. JBJS Rev 2021;9(9)).
 * On a walk the steps need the line more, so there the lens alone decides.
 */
export const LEAST_STAND_OFF_CM = 90

/** What of a set-up its measures follow from. */
export type MeasuredSetUp = Pick<SetUp, 'id' | 'title' | 'position' | 'facing' | 'camera'>

export type GeometryInput = {
  setUp: MeasuredSetUp
  statureCm: number | null
  /** Height of the bed or high seat; null = the set-up has none. */
  supportCm: number | null
  side: Side
  /** Present where the patient walks: how long the longest clear straight line is; null = not known. */
  walk: { lineCm: number | null } | null
}

/** Measures one set-up for one patient. */
export function geometryOf({ setUp, statureCm, supportCm, side, walk }: GeometryInput): SetUpGeometry {
  const { camera, position } = setUp
  const facing = setUp.facing ?? null
  const body = bodyOf(statureCm)
  // The protocol's heights are those of the default stature; on a shorter leg everything sits lower. Furniture does not.
  const scale = supportCm !== null || camera.handheld ? 1 : body.statureCm / DEFAULT_STATURE_CM
  const heightCm = camera.heightCm * scale
  const isSideOn = facing === 'side' || position === 'lying'
  // Who sits up high has the knee up there, and all of the lower leg hangs from it.
  const hangsFromCm = position === 'seated' && supportCm !== null ? supportCm + SEAT_UNDER_KNEE_CM : 0
  const upToCm = Math.max(camera.mustSeeUpToCm * scale, hangsFromCm)
  // Up to the hips nothing of the patient is wider than they are; side-on, a leg held out is as long as the shin.
  const frontCm = upToCm > body.hipCm ? body.shoulderWidthCm : body.hipWidthCm
  // Past the end of a bed the feet hang down by their own length; nothing under them matters.
  const fromCm = position === 'lying' && supportCm !== null ? Math.max(supportCm - body.footLengthCm, 0) : 0
  const seen = { fromCm, upToCm, widthCm: isSideOn ? body.kneeCm : frontCm }
  const leastCm = walk === null ? LEAST_STAND_OFF_CM : 0
  const distance = (orientation: Orientation) => {
    // A camera in the hand is where the protocol says: it looks down from there.
    if (camera.handheld) return heightCm
    const { verticalDeg, horizontalDeg } = fieldOfView(orientation)
    return Math.max(
      leastCm,
      standOff({
        mustSeeFromCm: seen.fromCm,
        mustSeeUpToCm: seen.upToCm,
        cameraHeightCm: heightCm,
        fieldOfViewDeg: verticalDeg,
      }),
      seen.widthCm / 2 / halfTangent(horizontalDeg),
    )
  }
  const lane = walk === null ? null : laneOf(body, camera.orientation, distance, walk.lineCm)
  const orientation = lane?.best.orientation ?? camera.orientation
  const standOffCm = distance(orientation)
  return {
    setUpId: setUp.id,
    title: setUp.title,
    position,
    facing,
    supportCm,
    nearSide: side,
    body,
    camera: { handheld: camera.handheld, heightCm, orientation, view: fieldOfView(orientation) },
    seen,
    standOffCm,
    lane,
    roomCm: standOffCm + (lane === null ? depthOf(position, body) : lane.walkCm + lane.turnCm),
  }
}

function laneOf(
  body: Body,
  asked: Orientation,
  distance: (orientation: Orientation) => number,
  haveCm: number | null,
): Lane {
  const turnCm = TURN_FEET * body.footLengthCm
  const wayWith = (orientation: Orientation): LaneWay => {
    const standOffCm = distance(orientation)
    const left = haveCm === null ? null : haveCm - turnCm - standOffCm
    return {
      orientation,
      standOffCm,
      needCm: WALK_STEPS * body.stepCm + turnCm + standOffCm,
      stepsThatFit: left === null ? null : Math.max(Math.floor(left / body.stepCm), 0),
    }
  }
  const first = wayWith(asked)
  const second = wayWith(asked === 'portrait' ? 'landscape' : 'portrait')
  const fits = (way: LaneWay) => haveCm !== null && way.needCm <= haveCm
  const isFirst = haveCm === null || fits(first) || (!fits(second) && first.needCm <= second.needCm)
  const [best, other] = isFirst ? [first, second] : [second, first]
  const isShorter = !fits(best) && best.stepsThatFit !== null && best.stepsThatFit >= SHORT_WALK_STEPS
  const steps = isShorter && best.stepsThatFit !== null ? best.stepsThatFit : WALK_STEPS
  return {
    steps,
    walkCm: steps * body.stepCm,
    turnCm,
    haveCm,
    fits: haveCm === null ? 'not_known' : fits(best) ? 'yes' : isShorter ? 'fewer' : 'no',
    best,
    other,
    shortOfCm: haveCm === null ? null : Math.max(best.needCm - haveCm, 0),
  }
}

/** How far the patient reaches away from the camera. */
function depthOf(position: MeasuredSetUp['position'], body: Body): number {
  if (position === 'lying') return body.statureCm
  return position === 'seated' ? body.hipCm - body.kneeCm + body.footLengthCm : body.footLengthCm
}

/** To the millimetre: 4.1 × 100 is a hair less than 410 in binary, and a line is not refused for that. */
export function centimetres(metres: number): number {
  return Math.round(metres * 1000) / 10
}
