/**
 * Where does the camera stand, where the patient, and does the room allow it?
 *
 * One plain value per set-up, from stature, lens and what must be seen. The figures and their captions are drawn from it
 * and from nothing else, so that a drawing can't say other numbers than the words beside it.
 */
import { z } from 'zod'
import { invariant } from '#lib/base/invariant.ts'
import type { Facts, Need } from '../protocol/need.ts'
import { partsOf } from '../protocol/need.ts'
import { POSITIONS, type Protocol, type SetUp, SIDES, type Side, textSchema } from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import { type Body, bodyOf, DEFAULT_STATURE_CM, SEAT_UNDER_KNEE_CM } from './body.ts'
import { fieldOfView, halfTangent, type Orientation } from './lens.ts'
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

const cm = z.number().nonnegative()
const orientation = z.enum(['portrait', 'landscape'])

const laneWaySchema = z.strictObject({
  orientation,
  standOffCm: cm,
  /** The line that the full walk takes. */
  needCm: cm,
  /** Steps of this patient that the line leaves room for, the turn and the distance to the camera taken off. */
  stepsThatFit: z.number().int().nonnegative().nullable(),
})
type LaneWay = z.output<typeof laneWaySchema>

const laneSchema = z.strictObject({
  /** Steps of the walk as it is drawn: fewer than the full walk where only those fit. */
  steps: z.number().int().positive(),
  walkCm: cm,
  turnCm: cm,
  haveCm: cm.nullable(),
  /** 'fewer' = too short for the full walk, long enough for a shorter one. */
  fits: z.enum(['yes', 'fewer', 'no', 'not_known']),
  /** The camera as the protocol asks for it, if the line allows; else as it needs the least room. */
  best: laneWaySchema,
  other: laneWaySchema,
  /** How much longer the line would have to be for the full walk; 0 when it fits, null when it is not known. */
  shortOfCm: cm.nullable(),
})

/** The walk of a set-up, and whether the line at home is long enough for it. */
export type Lane = z.output<typeof laneSchema>

/** Kept in packets as it is, so that what a patient was shown can be drawn again. */
export const setUpGeometrySchema = z.strictObject({
  setUpId: z.string(),
  title: textSchema,
  position: z.enum(POSITIONS),
  facing: z.enum(['to_camera', 'away', 'side']).nullable(),
  /** How high the patient sits or lies off the floor, feet free; null = on their feet, or with them on the floor. */
  supportCm: cm.nullable().default(null),
  /** The side next to the camera where the patient sits or stands side-on. */
  nearSide: z.enum(SIDES),
  body: z.strictObject({
    statureCm: cm,
    isAssumed: z.boolean(),
    ankleCm: cm,
    kneeCm: cm,
    hipCm: cm,
    shoulderCm: cm,
    chinCm: cm,
    footLengthCm: cm,
    hipWidthCm: cm,
    shoulderWidthCm: cm,
    stepCm: cm,
  }),
  camera: z.strictObject({
    handheld: z.boolean(),
    heightCm: cm,
    orientation,
    view: z.strictObject({ verticalDeg: cm, horizontalDeg: cm }),
  }),
  /** What must be in view: from the floor, or what hangs from a bed, up to this height, this wide. */
  seen: z.strictObject({ fromCm: cm.default(0), upToCm: cm, widthCm: cm }),
  /** From the lens to the nearest part of the patient. */
  standOffCm: cm,
  lane: laneSchema.nullable(),
  /** The straight line that all of it takes, in cm. */
  roomCm: cm,
})
export type SetUpGeometry = z.output<typeof setUpGeometrySchema>

export type GeometryInput = {
  setUp: SetUp
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
function depthOf(position: SetUp['position'], body: Body): number {
  if (position === 'lying') return body.statureCm
  return position === 'seated' ? body.hipCm - body.kneeCm + body.footLengthCm : body.footLengthCm
}

/** Every set-up of these ids, measured from what was answered at home. */
export function geometriesOf(
  protocol: Protocol,
  setUpIds: readonly string[],
  given: { facts: Facts; side: Side },
): SetUpGeometry[] {
  const told = (factId: string | undefined) => {
    const answer = factId === undefined ? undefined : given.facts[factId]
    return typeof answer === 'number' ? answer : null
  }
  const statureCm = told(protocol.facts.find(({ measures }) => measures === 'stature')?.id)
  return [...new Set(setUpIds)].map((id) => {
    const setUp = protocol.setUps.find((each) => each.id === id)
    invariant(setUp, `the protocol has the set-up "${id}"`)
    const supportCm = setUp.support === undefined ? null : (told(setUp.support.answeredIn) ?? setUp.support.heightCm)
    const fact = lineFact(protocol, id)
    const lineM = told(fact ?? undefined)
    const walk = fact === null ? null : { lineCm: lineM === null ? null : centimetres(lineM) }
    return geometryOf({ setUp, statureCm, supportCm, side: given.side, walk })
  })
}

/** To the millimetre: 4.1 × 100 is a hair less than 410 in binary, and a line is not refused for that. */
function centimetres(metres: number): number {
  return Math.round(metres * 1000) / 10
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
