/**
 * Where camera and patient are. Pinhole distances are worked by hand; segment heights are held to the shares that Drillis
 * and Contini (1966) give for ankle, knee, hip and shoulder: 0.039, 0.285, 0.530 and 0.818 of stature.
 */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { bodyOf } from '#lib/domain/geometry/body.ts'
import { fieldOfView } from '#lib/domain/geometry/lens.ts'
import { geometryOf } from '#lib/domain/geometry/measure-set-up.ts'
import { geometriesOf } from '#lib/domain/geometry/set-up-geometry.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { SetUp } from '#lib/domain/protocol/schema.ts'
import { setUpOf } from '#lib/domain/protocol/set-up-of.ts'

const setUp = (change: Partial<SetUp['camera']> = {}, position: SetUp['position'] = 'standing'): SetUp => ({
  id: 's',
  title: { en: 'x', es: 'x' },
  position,
  camera: { placement: 'p', handheld: false, orientation: 'portrait', heightCm: 30, mustSeeUpToCm: 100, ...change },
  instructions: { en: 'x', es: 'x' },
  needs: { all: [] },
  source: 'test',
})
const measured = (given: { setUp?: SetUp; statureCm?: number; lineM?: number | null }) =>
  geometryOf({
    setUp: given.setUp ?? setUp(),
    statureCm: given.statureCm ?? null,
    supportCm: null,
    side: 'right',
    walk: given.lineM === undefined ? null : { lineCm: given.lineM === null ? null : given.lineM * 100 },
  })

describe('the body', () => {
  test('of 180 cm has its joints where the table puts them', () => {
    const { ankleCm, kneeCm, hipCm, shoulderCm } = bodyOf(180)
    expect([ankleCm, kneeCm, hipCm, shoulderCm].map((cm) => Math.round(cm * 100) / 100)).toEqual([
      7.02, 51.3, 95.4, 147.24,
    ])
  })

  test('that nobody measured is said to be assumed, and steps as far as the mean man', () => {
    expect(bodyOf(null)).toMatchObject({ statureCm: 175, isAssumed: true, stepCm: 79 })
    expect(bodyOf(175)).toMatchObject({ isAssumed: false })
  })

  test('of the mean woman (161 cm, NHANES, from memory) never steps shorter than the published 66 cm', () => {
    expect(bodyOf(161).stepCm).toBeGreaterThanOrEqual(66)
  })
})

test('a picture of 16 by 9 that sees 60 degrees along sees 36 across: tan 18° = 0.3249 = tan 30° × 9 / 16', () => {
  expect(fieldOfView('portrait').verticalDeg).toBe(60)
  expect(fieldOfView('portrait').horizontalDeg).toBeCloseTo(36, 1)
  expect(fieldOfView('landscape')).toEqual({
    verticalDeg: fieldOfView('portrait').horizontalDeg,
    horizontalDeg: 60,
  })
})

describe('the distance to the camera', () => {
  // tan 30° = 0.57735; tan 18° = 0.32476 (9 / 16 of it).
  test.each([
    ['upright, the height rules: (100 − 30) / tan 30°', setUp(), 121.24],
    ['on its side: (100 − 30) / tan 18°', setUp({ orientation: 'landscape' }), 215.54],
    // 0.9 m is the near end of what Emara AK et al. (JBJS Rev 2021;9(9)) ask of a steady camera.
    ['up to the knees the lens needs 52 cm, and the published 90 rule', setUp({ mustSeeUpToCm: 60 }), 90],
    [
      'lying, on its side, from 60 cm: the floor rules: 60 / tan 18°',
      setUp({ orientation: 'landscape', heightCm: 60, mustSeeUpToCm: 100 }, 'lying'),
      184.75,
    ],
    ['in the hand, it is the height itself', setUp({ handheld: true, heightCm: 60 }, 'seated'), 60],
  ])('%s', (_, given, cm) => {
    expect(measured({ setUp: given }).standOffCm).toBeCloseTo(cm, 1)
  })

  // On a walk the published distance would cost the steps their room. Hips: 0.191 × 175 = 33.425 cm; shoulders 0.259 × 175.
  test.each([
    ['the floor rules: 30 / tan 30°', { mustSeeUpToCm: 50 }, 51.96],
    ['the hips rule: 33.425 / 2 / tan 18°', { heightCm: 20, mustSeeUpToCm: 40 }, 51.46],
    ['past the hips the shoulders rule: 45.325 / 2 / tan 18°', { heightCm: 60, mustSeeUpToCm: 95 }, 103.92],
  ])('on a walk: %s', (_, camera, cm) => {
    expect(measured({ setUp: setUp(camera), lineM: 6 }).standOffCm).toBeCloseTo(cm, 1)
  })

  test('shrinks with the patient: 140 cm tall is four fifths of everything', () => {
    const [tall, short] = [measured({}), measured({ statureCm: 140 })]
    expect(short.standOffCm).toBeCloseTo(tall.standOffCm * 0.8, 6)
    expect(short.camera.heightCm).toBeCloseTo(24, 6)
  })

  test('shows all that must be seen, in either orientation', () => {
    for (const orientation of ['portrait', 'landscape'] as const)
      for (const statureCm of [140, 175, 200]) {
        const { camera, seen, standOffCm } = measured({ setUp: setUp({ orientation }), statureCm })
        const half = (deg: number) => standOffCm * Math.tan((deg / 2) * (Math.PI / 180))
        expect(camera.heightCm + half(camera.view.verticalDeg)).toBeGreaterThanOrEqual(seen.upToCm - 1e-9)
        expect(camera.heightCm - half(camera.view.verticalDeg)).toBeLessThanOrEqual(seen.fromCm + 1e-9)
        expect(2 * half(camera.view.horizontalDeg)).toBeGreaterThanOrEqual(seen.widthCm - 1e-9)
      }
  })
})

describe('the walk', () => {
  // 4 × 79 cm + 1.5 × 26.6 cm to turn + 121.24 cm = 477.14 cm; on its side 571.44 cm.
  test('fits a line of 4.8 m, with the phone upright', () => {
    const { lane, camera } = measured({ lineM: 4.8 })
    expect(lane).toMatchObject({ fits: 'yes', shortOfCm: 0 })
    expect(lane?.best.needCm).toBeCloseTo(477.14, 1)
    expect(lane?.other.needCm).toBeCloseTo(571.44, 1)
    expect(camera.orientation).toBe('portrait')
  })

  // 400 − 39.9 − 121.24 = 238.86 cm: three steps of 79 cm.
  test('is drawn with three steps on a line of 4 m, which is 77 cm short of four', () => {
    const { lane, roomCm } = measured({ lineM: 4 })
    expect(lane).toMatchObject({ fits: 'fewer', steps: 3, walkCm: 237 })
    expect(lane?.shortOfCm).toBeCloseTo(77.14, 1)
    expect(roomCm).toBeLessThanOrEqual(400)
  })

  // 300 − 39.9 − 121.24 = 138.86 cm: one step is no stride.
  test('does not fit a line of 3 m, and is drawn as it should be', () => {
    expect(measured({ lineM: 3 }).lane).toMatchObject({ fits: 'no', steps: 4, best: { stepsThatFit: 1 } })
  })

  test('turns the phone upright where only then the line is long enough', () => {
    const onItsSide = setUp({ orientation: 'landscape' })
    expect(measured({ setUp: onItsSide, lineM: 6 }).camera.orientation).toBe('landscape')
    expect(measured({ setUp: onItsSide, lineM: 5 })).toMatchObject({
      lane: { fits: 'yes' },
      camera: { orientation: 'portrait' },
    })
  })

  test('on a line that nobody measured neither fits nor fails', () => {
    expect(measured({ lineM: null }).lane).toMatchObject({
      fits: 'not_known',
      shortOfCm: null,
      best: { stepsThatFit: null },
    })
  })

  test('no line at all leaves room for no step, never for less', () => {
    expect(measured({ lineM: 0 }).lane?.best.stepsThatFit).toBe(0)
  })
})

test('in the foot and ankle protocol only the set-up whose ways ask for metres has a lane', () => {
  const ids = footAndAnkle.setUps.map(({ id }) => id)
  const all = geometriesOf(footAndAnkle, [...ids, ...ids], { facts: { lane_m: 6 }, side: 'left' })
  expect(all.map(({ setUpId }) => setUpId)).toEqual(ids)
  expect(all.filter(({ lane }) => lane !== null).map(({ setUpId, lane }) => [setUpId, lane?.haveCm])).toEqual([
    ['lane', 600],
  ])
})

describe('what the protocol accepts, the drawing accepts', () => {
  // A tenth of a metre is as fine as the home check asks. The stature is the default: the rule is the mean man's.
  const walks = footAndAnkle.stations.flatMap((station) =>
    station.ways.flatMap((way) => {
      const needs = JSON.stringify(way.needs)
      const [, atLeast] = /"fact":"lane_m","atLeast":([\d.]+)/.exec(needs) ?? []
      return atLeast === undefined ? [] : [{ station, way, atLeast: Number(atLeast) }]
    }),
  )

  test('walking ways are there to be held to it', () => {
    expect(walks.filter(({ way }) => way.value === 1).length).toBeGreaterThan(0)
    expect(walks.filter(({ way }) => way.value < 1).length).toBeGreaterThan(0)
  })

  test.each(walks.map((walk) => [walk.station.id, walk.way.id, walk] as const))('%s, %s', (_, __, walk) => {
    const { id } = setUpOf(footAndAnkle, walk.station, walk.way)
    fc.assert(
      fc.property(fc.integer({ min: Math.round(walk.atLeast * 10), max: 300 }), (tenths) => {
        const facts = { lane_m: tenths / 10 }
        const [geometry] = geometriesOf(footAndAnkle, [id], { facts, side: 'left' })
        const fits = geometry?.lane?.fits
        // The reference manner takes the full walk; a lesser way may take fewer steps, and never more than there is.
        expect(walk.way.value === 1 ? ['yes'] : ['yes', 'fewer']).toContain(fits)
        expect(geometry?.roomCm).toBeLessThanOrEqual(tenths * 10)
        expect(geometry?.camera.orientation).toBe('portrait')
      }),
      { seed: 5, numRuns: 60, examples: [[Math.round(walk.atLeast * 10)]] },
    )
  })
})

describe('what was told of the patient and of the home is what is drawn', () => {
  const drawnFor = (id: string, facts: Record<string, number | boolean>) =>
    geometriesOf(footAndAnkle, [id], { facts, side: 'left' })[0]

  test('the stature, and the default where it is not known', () => {
    expect(drawnFor('seat_front', { stature_cm: 160 })?.body).toMatchObject({ statureCm: 160, isAssumed: false })
    expect(drawnFor('seat_front', {})?.body).toMatchObject({ statureCm: 175, isAssumed: true })
  })

  // By hand: a stool of 80 cm and 7 cm up to the knee; the camera at 30 cm, 60 degrees: (87 − 30) / tan 30° = 98.7 cm.
  test('the high seat: the whole lower leg hangs in view', () => {
    const stool = drawnFor('high_seat_side', { seat_cm: 80 })
    expect(stool).toMatchObject({ supportCm: 80, seen: { upToCm: 87 } })
    expect(stool?.standOffCm).toBeCloseTo(98.73, 1)
    expect(drawnFor('high_seat_side', {})?.supportCm).toBe(75)
  })

  test('furniture does not shrink with the patient', () => {
    const [tall, short] = [drawnFor('face_down', { stature_cm: 200 }), drawnFor('face_down', { stature_cm: 140 })]
    expect([tall?.supportCm, short?.supportCm]).toEqual([50, 50])
    expect(tall?.camera.heightCm).toBe(short?.camera.heightCm)
  })

  // By hand: a foot of 0.152 × 175 = 26.6 cm hangs from a bed of 50 cm, down to 23.4 cm; (60 − 23.4) / tan 18.0° = 112.6 cm.
  test('on a bed, from the hanging foot up is enough', () => {
    const bed = drawnFor('face_down', {})
    expect(bed?.seen.fromCm).toBeCloseTo(23.4, 6)
    expect(bed?.standOffCm).toBeCloseTo(112.7, 0)
  })

  test('nobody on a chair or on their feet is held up', () => {
    expect(drawnFor('seat_side', { seat_cm: 80 })?.supportCm).toBeNull()
    expect(drawnFor('stand_back', {})?.supportCm).toBeNull()
  })
})
