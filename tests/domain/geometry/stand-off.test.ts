import { describe, expect, test } from 'vitest'
import { laneNeeded, standOff } from '#lib/domain/geometry/stand-off.ts'

// Pinhole: distance = reach / tan(V / 2); worked by hand with tan 45° = 1 and tan 30° = 1/√3.
describe('the distance to the camera', () => {
  test.each([
    ['at shin height, up to the knee', { mustSeeUpToCm: 60, cameraHeightCm: 30, fieldOfViewDeg: 90 }, 30],
    [
      'what is above the lens rules when it is more',
      { mustSeeUpToCm: 100, cameraHeightCm: 30, fieldOfViewDeg: 90 },
      70,
    ],
    [
      'the floor below the lens rules when that is more',
      { mustSeeUpToCm: 60, cameraHeightCm: 50, fieldOfViewDeg: 90 },
      50,
    ],
    ['a narrow lens needs more room', { mustSeeUpToCm: 60, cameraHeightCm: 30, fieldOfViewDeg: 60 }, 51.96],
    ['a camera on the floor', { mustSeeUpToCm: 100, cameraHeightCm: 0, fieldOfViewDeg: 60 }, 173.21],
  ])('%s', (_, view, cm) => {
    expect(standOff(view)).toBeCloseTo(cm, 2)
  })
})

test('a lane holds the steps, the turn and the distance to the camera', () => {
  expect(laneNeeded({ steps: 4, stepLengthM: 0.5, turnM: 0.5, standOffM: 1 })).toBe(3.5)
})
