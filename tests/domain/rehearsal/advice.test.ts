import { describe, expect, test } from 'vitest'
import { adviceFor, heightInPicture, LIMITS } from '#lib/domain/rehearsal/advice.ts'
import { type Readings, readingsSchema } from '#lib/domain/rehearsal/readings.ts'

const good: Readings = {
  setUpId: 'seat_front',
  frame: { width: 720, height: 1280, perSecond: 30 },
  brightness: 120,
  contrast: 50,
  sharpness: 0.1,
  shake: 0,
  line: { roundTripMs: 60, downKbps: 8000 },
}
const advice = (change: Partial<Readings>, orientation: 'portrait' | 'landscape' = 'portrait') =>
  adviceFor({ ...good, ...change }, orientation)

describe('advice', () => {
  test('a good picture needs none', () => {
    expect(advice({})).toEqual([])
  })

  test.each<[string, Partial<Readings>, string[]]>([
    ['a dark room', { brightness: 30, contrast: 10, sharpness: 0 }, ['too_dark']],
    ['glare', { brightness: 240, contrast: 8 }, ['too_bright']],
    ['everything in one shade', { contrast: 10 }, ['pale']],
    ['a dirty lens', { sharpness: 0.002 }, ['blurred']],
    ['a hand that trembles: what moves is blurred as well', { shake: 0.06, sharpness: 0.002 }, ['shakes']],
    ['a small picture', { frame: { width: 240, height: 320, perSecond: 30 } }, ['coarse']],
    ['few pictures a second', { frame: { width: 720, height: 1280, perSecond: 8 } }, ['jerky']],
    ['a thin line', { line: { roundTripMs: 60, downKbps: 300 } }, ['slow_line']],
    // ITU-T G.114 (05/2003): 400 ms one way is the upper limit, so 800 ms there and back.
    ['a late line', { line: { roundTripMs: 801, downKbps: 8000 } }, ['late_line']],
    ['a line on the limit', { line: { roundTripMs: 800, downKbps: 1000 } }, []],
    ['a line that could not be measured', { line: null }, []],
  ])('%s', (_, change, expected) => {
    expect(advice(change)).toEqual(expected)
  })

  test('the phone is to be turned only where it is held the other way', () => {
    expect(advice({}, 'landscape')).toEqual(['turn_phone'])
    expect(advice({ frame: { width: 1280, height: 720, perSecond: 30 } }, 'landscape')).toEqual([])
  })

  test('numbers on a limit are good enough', () => {
    const { brightness, contrast, sharpness, shake, lines, perSecond } = LIMITS
    expect(
      advice({
        brightness: brightness.least,
        contrast,
        sharpness,
        shake,
        frame: { width: lines, height: 640, perSecond },
      }),
    ).toEqual([])
  })
})

test('what is no number, or none that a camera gives, is refused', () => {
  for (const bad of [{ brightness: Number.NaN }, { brightness: 300 }, { shake: -1 }, { picture: 'data:…' }])
    expect(readingsSchema.safeParse({ ...good, ...bad }).success).toBe(false)
})

describe('where things are in the picture', () => {
  // By hand: a level camera at 30 cm that sees 60 degrees up and down, 100 cm away, sees 57.7 cm up and 57.7 cm down.
  const camera = { heightCm: 30, verticalDeg: 60, distanceCm: 100 }
  test('what is as high as the camera is in the middle', () => {
    expect(heightInPicture(30, camera)).toBeCloseTo(0.5, 9)
  })
  test('the floor is three quarters down, and the edge of what is seen at the edge', () => {
    expect(heightInPicture(0, camera)).toBeCloseTo(0.5 + 30 / 115.47, 4)
    expect(heightInPicture(30 + 57.735, camera)).toBeCloseTo(0, 4)
  })
})
