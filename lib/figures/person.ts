/**
 * The patient in outline, seen from the side: limbs as lines between joints, of the proportions that the set-up was
 * measured with. Zero is the floor at the nearest part of the patient; the camera is on the left.
 */
import { SEAT_UNDER_KNEE_CM } from '#lib/domain/geometry/body.ts'
import type { SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import type { Point } from './scene.ts'

export type Person = {
  limbs: readonly (readonly Point[])[]
  joints: readonly Point[]
  head: { at: Point; radiusCm: number }
  /** What the patient sits or lies on. */
  furniture: readonly (readonly Point[])[]
}

/** The feet hang free past the end of the bed. */
export const PAST_THE_END_CM = 20
/** A mattress reaches a little past the head. */
export const PAST_THE_HEAD_CM = 10

/** The outline for a set-up. */
export function personFor(geometry: SetUpGeometry): Person {
  switch (geometry.position) {
    case 'standing':
      return standing(geometry)
    case 'seated':
      return geometry.facing === 'side' ? seatedSideOn(geometry) : seated(geometry)
    case 'lying':
      return lying(geometry)
  }
}

function standing({ body, facing }: SetUpGeometry): Person {
  const { ankleCm, kneeCm, hipCm, shoulderCm, footLengthCm } = body
  // Heel next to the camera with the back to it, toes next to it otherwise.
  const leg = facing === 'away' ? 0.25 * footLengthCm : 0.75 * footLengthCm
  const foot: Point[] = [
    [0, 1],
    [footLengthCm, 1],
    [leg, ankleCm],
    [0, 1],
  ]
  const hand: Point = [leg + (facing === 'away' ? 6 : -6), hipCm - 6]
  return {
    limbs: [
      foot,
      [
        [leg, ankleCm],
        [leg, kneeCm],
        [leg, hipCm],
        [leg, shoulderCm],
        [leg, body.chinCm],
      ],
      [[leg, shoulderCm - 3], hand],
    ],
    joints: [
      [leg, ankleCm],
      [leg, kneeCm],
      [leg, hipCm],
      [leg, shoulderCm],
    ],
    head: headAbove(leg, body),
    furniture: [],
  }
}

function seated({ body }: SetUpGeometry): Person {
  const { ankleCm, kneeCm, hipCm, shoulderCm, footLengthCm } = body
  const shin = 0.75 * footLengthCm
  const hip = shin + hipCm - kneeCm
  const lower = hipCm - kneeCm
  return {
    limbs: [
      [
        [0, 1],
        [footLengthCm, 1],
        [shin, ankleCm],
        [0, 1],
      ],
      [
        [shin, ankleCm],
        [shin, kneeCm],
        [hip, kneeCm],
        [hip, shoulderCm - lower],
        [hip, body.chinCm - lower],
      ],
      [
        [hip, shoulderCm - lower - 3],
        [hip - 12, kneeCm + 14],
        [shin + 12, kneeCm + 5],
      ],
    ],
    joints: [
      [shin, ankleCm],
      [shin, kneeCm],
      [hip, kneeCm],
      [hip, shoulderCm - lower],
    ],
    head: headAbove(hip, body, lower),
    furniture: [
      [
        [shin + 8, 0],
        [shin + 8, kneeCm - 7],
        [hip + 12, kneeCm - 7],
        [hip + 12, 0],
      ],
      [
        [hip + 12, kneeCm - 7],
        [hip + 12, kneeCm + 38],
      ],
    ],
  }
}

/** Side-on to the camera, so seen from the front here: one leg beside the other. On a high seat both hang. */
function seatedSideOn({ body, supportCm }: SetUpGeometry): Person {
  const { ankleCm, hipCm, hipWidthCm, shoulderWidthCm } = body
  const kneeCm = supportCm === null ? body.kneeCm : Math.max(body.kneeCm, supportCm + SEAT_UNDER_KNEE_CM)
  const lifted = kneeCm - body.kneeCm
  const lower = hipCm - body.kneeCm - lifted
  const near = 6
  const far = near + hipWidthCm
  const middle = (near + far) / 2
  const shoulder = body.shoulderCm - lower
  const seat = kneeCm - SEAT_UNDER_KNEE_CM
  const legs = [near, far].map((at): Point[] => [
    [at - 4, lifted + 1],
    [at + 4, lifted + 1],
    [at, lifted + ankleCm],
    [at, kneeCm],
  ])
  return {
    limbs: [
      ...legs,
      [
        [near, kneeCm],
        [far, kneeCm],
        [middle + shoulderWidthCm / 2, shoulder],
        [middle - shoulderWidthCm / 2, shoulder],
        [near, kneeCm],
      ],
      [
        [middle, shoulder],
        [middle, body.chinCm - lower],
      ],
    ],
    joints: [
      [near, lifted + ankleCm],
      [far, lifted + ankleCm],
      [near, kneeCm],
      [far, kneeCm],
    ],
    head: headAbove(middle, body, lower),
    furniture: [
      [
        [near - 10, 0],
        [near - 10, seat],
        [far + 10, seat],
        [far + 10, 0],
      ],
    ],
  }
}

function lying({ body, supportCm }: SetUpGeometry): Person {
  const { statureCm, ankleCm, kneeCm, hipCm, shoulderCm, footLengthCm } = body
  // Packets from before beds had a height were drawn with this one.
  const bed = supportCm ?? 50
  const up = bed + 8
  const at = (height: number): Point => [height, up]
  const end = PAST_THE_END_CM
  return {
    limbs: [
      [
        [ankleCm, up + 2],
        [ankleCm - 4, up - footLengthCm * 0.75],
        [ankleCm + 5, up - 6],
      ],
      [at(ankleCm), at(kneeCm), at(hipCm), at(shoulderCm), at(body.chinCm)],
    ],
    joints: [at(ankleCm), at(kneeCm), at(hipCm), at(shoulderCm)],
    head: { at: [(body.chinCm + statureCm) / 2, up + 2], radiusCm: (statureCm - body.chinCm) / 2 },
    furniture: [
      [
        [end, 0],
        [end, bed],
        [statureCm + PAST_THE_HEAD_CM, bed],
        [statureCm + PAST_THE_HEAD_CM, 0],
      ],
    ],
  }
}

function headAbove(at: number, { statureCm, chinCm }: SetUpGeometry['body'], lower = 0): Person['head'] {
  return { at: [at, (statureCm + chinCm) / 2 - lower], radiusCm: (statureCm - chinCm) / 2 }
}
