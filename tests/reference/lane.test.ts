/** Step length: Murray MP et al. 1964 (men) and 1970 (women), mean step 79 cm and 66 cm. */
import { expect, test } from 'vitest'
import { laneNeeded, STEP_LENGTH_M } from '#lib/domain/geometry/stand-off.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { BEST_HOME } from '#tests/domain/screening/foot-and-ankle-homes.ts'

const FOUR_STEPS = { steps: 4, turnM: 0, standOffM: 0 }

test('four mean steps are 3.16 m for men and 2.64 m for women', () => {
  expect(laneNeeded({ ...FOUR_STEPS, stepLengthM: STEP_LENGTH_M.men })).toBeCloseTo(3.16, 10)
  expect(laneNeeded({ ...FOUR_STEPS, stepLengthM: STEP_LENGTH_M.women })).toBeCloseTo(2.64, 10)
})

test('a room of 3 m is too short for four steps of an average man', () => {
  expect(laneNeeded({ ...FOUR_STEPS, stepLengthM: STEP_LENGTH_M.men })).toBeGreaterThan(3)
})

// 0.9 m is the near end of the camera distance in Emara AK et al. JBJS Rev 2021;9(9): 3 to 6 ft.
test('four steps and the nearest camera fit into the lane that the full walk asks for, and not into less', () => {
  const needed = laneNeeded({ steps: 4, stepLengthM: STEP_LENGTH_M.men, turnM: 0, standOffM: 0.9 })
  const wayWith = (laneM: number) =>
    screen({
      protocol: footAndAnkle,
      conditionId: 'flat_foot',
      side: 'left',
      facts: { ...BEST_HOME, lane_m: laneM },
      policy: { gapsAllowed: false, earlyLookAllowed: false },
    }).stations.find(({ stationId }) => stationId === 'walk')?.way?.id
  expect(needed).toBeCloseTo(4.06, 10)
  expect(wayWith(4.1)).toBe('alone')
  expect(wayWith(4.0)).toBe('alone_short')
})
