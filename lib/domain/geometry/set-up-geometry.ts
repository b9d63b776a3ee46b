/**
 * Where does the camera stand, where the patient, and does the room allow it?
 *
 * One plain value per set-up, from stature, lens and what must be seen. The figures and their captions are drawn from it
 * and from nothing else, so that a drawing can't say other numbers than the words beside it.
 */
import { invariant } from '#lib/base/invariant.ts'
import type { Facts, Need } from '../protocol/need.ts'
import { partsOf } from '../protocol/need.ts'
import type { Protocol, SetUp, Side, Text } from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import { type Body, bodyOf, DEFAULT_STATURE_CM } from './body.ts'
import { type FieldOfView, fieldOfView, halfTangent, type Orientation } from './lens.ts'
import { standOff } from './stand-off.ts'

/** Steps away from the camera that a gait exam wants at the least: common practice. */
export const WALK_STEPS = 4
/** Room to turn on the spot at the far end: common practice. */
export const TURN_CM = 50

export type LaneWay = {
  orientation: Orientation
  standOffCm: number
  needCm: number
  /** Steps of this patient that the line leaves room for, the turn and the distance to the camera taken off. */
  stepsThatFit: number | null
}

/** The walk of a set-up, and whether the line at home is long enough for it. */
export type Lane = {
  steps: number
  walkCm: number
  turnCm: number
  haveCm: number | null
  fits: 'yes' | 'no' | 'not_known'
  /** The camera as the protocol asks for it, if the line allows; else as it needs the least room. */
  best: LaneWay
  other: LaneWay
  /** How much longer the line would have to be; 0 when it fits, null when it is not known. */
  shortOfCm: number | null
}

export type SetUpGeometry = {
  setUpId: string
  title: Text
  position: SetUp['position']
  facing: NonNullable<SetUp['facing']> | null
  /** The side next to the camera where the patient sits or stands side-on. */
  nearSide: Side
  body: Body
  camera: { handheld: boolean; heightCm: number; orientation: Orientation; view: FieldOfView }
  /** What must be in view: from the floor up to this height, this wide. */
  seen: { upToCm: number; widthCm: number }
  /** From the lens to the nearest part of the patient. */
  standOffCm: number
  lane: Lane | null
  /** The straight line that all of it takes, in cm. */
  roomCm: number
}

export type GeometryInput = {
  setUp: SetUp
  statureCm: number | null
  side: Side
  /** Present where the patient walks: how long the longest clear straight line is; null = not known. */
  walk: { lineCm: number | null } | null
}

/** Measures one set-up for one patient. */
export function geometryOf({ setUp, statureCm, side, walk }: GeometryInput): SetUpGeometry {
  const { camera, position } = setUp
  const facing = setUp.facing ?? null
  const body = bodyOf(statureCm)
  // The protocol's heights are those of the default stature; on a shorter leg everything sits lower. A bed does not.
  const scale = position === 'lying' || camera.handheld ? 1 : body.statureCm / DEFAULT_STATURE_CM
  const heightCm = camera.heightCm * scale
  const isSideOn = facing === 'side' || position === 'lying'
  const seen = { upToCm: camera.mustSeeUpToCm * scale, widthCm: isSideOn ? body.kneeCm : body.shoulderWidthCm }
  const distance = (orientation: Orientation) => {
    // A camera in the hand is where the protocol says: it looks down from there.
    if (camera.handheld) return heightCm
    const { verticalDeg, horizontalDeg } = fieldOfView(orientation)
    return Math.max(
      standOff({ mustSeeUpToCm: seen.upToCm, cameraHeightCm: heightCm, fieldOfViewDeg: verticalDeg }),
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
    nearSide: side,
    body,
    camera: { handheld: camera.handheld, heightCm, orientation, view: fieldOfView(orientation) },
    seen,
    standOffCm,
    lane,
    roomCm: lane?.best.needCm ?? standOffCm + depthOf(position, body),
  }
}

function laneOf(
  body: Body,
  asked: Orientation,
  distance: (orientation: Orientation) => number,
  haveCm: number | null,
): Lane {
  const walkCm = WALK_STEPS * body.stepCm
  const wayWith = (orientation: Orientation): LaneWay => {
    const standOffCm = distance(orientation)
    const left = haveCm === null ? null : haveCm - TURN_CM - standOffCm
    return {
      orientation,
      standOffCm,
      needCm: walkCm + TURN_CM + standOffCm,
      stepsThatFit: left === null ? null : Math.max(Math.floor(left / body.stepCm), 0),
    }
  }
  const first = wayWith(asked)
  const second = wayWith(asked === 'portrait' ? 'landscape' : 'portrait')
  const fits = (way: LaneWay) => haveCm !== null && way.needCm <= haveCm
  const isFirst = haveCm === null || fits(first) || (!fits(second) && first.needCm <= second.needCm)
  const [best, other] = isFirst ? [first, second] : [second, first]
  return {
    steps: WALK_STEPS,
    walkCm,
    turnCm: TURN_CM,
    haveCm,
    fits: haveCm === null ? 'not_known' : fits(best) ? 'yes' : 'no',
    best,
    other,
    shortOfCm: haveCm === null ? null : Math.max(best.needCm - haveCm, 0),
  }
}

/** How far the patient reaches away from the camera. */
function depthOf(position: SetUp['position'], body: Body): number {
  if (position === 'lying') return body.statureCm
  return position === 'seated' ? body.hipCm - body.kneeCm + body.footLengthCm : body.footLengthCm
}

/** Every set-up of these ids, measured from what was answered at home. */
export function geometriesOf(
  protocol: Protocol,
  setUpIds: readonly string[],
  given: { facts: Facts; statureCm: number | null; side: Side },
): SetUpGeometry[] {
  return [...new Set(setUpIds)].map((id) => {
    const setUp = protocol.setUps.find((each) => each.id === id)
    invariant(setUp, `the protocol has the set-up "${id}"`)
    const fact = lineFact(protocol, id)
    const line = fact === null ? undefined : given.facts[fact]
    const walk = fact === null ? null : { lineCm: typeof line === 'number' ? line * 100 : null }
    return geometryOf({ setUp, statureCm: given.statureCm, side: given.side, walk })
  })
}

/** The patient walks in a set-up where some way asks for metres: the fact that tells them, or null. */
function lineFact(protocol: Protocol, setUpId: string): string | null {
  for (const station of protocol.stations)
    for (const way of station.ways) {
      if (setUpOf(protocol, station, way).id !== setUpId) continue
      const fact = metresIn(way.needs)
      if (fact !== null) return fact
    }
  return null
}

function metresIn(need: Need): string | null {
  if ('equipment' in need) return null
  if ('fact' in need) return 'atLeast' in need && need.unit === 'm' ? need.fact : null
  for (const part of partsOf(need)) {
    const fact = metresIn(part)
    if (fact !== null) return fact
  }
  return null
}
