/**
 * Where does the camera stand, where the patient, and does the room allow it?
 *
 * One plain value per set-up, from stature, lens and what must be seen. The figures and their captions are drawn from it
 * and from nothing else, so that a drawing can't say other numbers than the words beside it.
 */
import { z } from 'zod'
import { invariant } from '#lib/base/invariant.ts'
import type { Answers, Facts, Need } from '../protocol/need.ts'
import { partsOf } from '../protocol/need.ts'
import { POSITIONS, type Protocol, type SetUp, SIDES, type Side, textSchema } from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import { centimetres, geometryOf } from './measure-set-up.ts'

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
export type LaneWay = z.output<typeof laneWaySchema>

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

/** Every set-up of these ids, measured from what was answered at home. */
export function geometriesOf(
  protocol: Protocol,
  setUpIds: readonly string[],
  given: { facts: Facts; side: Side },
): SetUpGeometry[] {
  const told = (factId: string | undefined) => amountIn(given.facts, factId)
  const statureCm = statureOf(protocol, given.facts)
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

/** How tall the patient said they are; null = not told. */
export function statureOf(protocol: Protocol, told: Answers): number | null {
  return amountIn(told, protocol.facts.find(({ measures }) => measures === 'stature')?.id)
}

function amountIn(told: Answers, factId: string | undefined): number | null {
  const answer = factId === undefined ? undefined : told[factId]
  return typeof answer === 'number' ? answer : null
}

/** The first set-up whose walk depends on how long a line this fact tells; null = none does. */
export function walkOf(protocol: Protocol, factId: string): SetUp | null {
  return protocol.setUps.find(({ id }) => lineFact(protocol, id) === factId) ?? null
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
