import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  brightnessOf,
  contrastOf,
  type Frame,
  frameOf,
  sharpnessOf,
  shiftBetween,
} from '#lib/domain/rehearsal/picture.ts'

const WIDTH = 64
const HEIGHT = 48

function frame(shadeAt: (x: number, y: number) => number, width = WIDTH, height = HEIGHT): Frame {
  const luma = Float32Array.from({ length: width * height }, (_, at) => shadeAt(at % width, Math.floor(at / width)))
  return { width, height, luma }
}
const checkerboard = (side: number) => frame((x, y) => ((Math.floor(x / side) + Math.floor(y / side)) % 2 ? 255 : 0))

/** The mean over a square of `2 × radius + 1` points: the plainest blur of known width. */
function boxBlurred({ width, height, luma }: Frame, radius: number): Frame {
  return frame(
    (x, y) => {
      let sum = 0
      let count = 0
      for (let dy = -radius; dy <= radius; dy += 1)
        for (let dx = -radius; dx <= radius; dx += 1) {
          const [at, to] = [x + dx, y + dy]
          if (at < 0 || to < 0 || at >= width || to >= height) continue
          sum += luma[to * width + at] ?? 0
          count += 1
        }
      return sum / count
    },
    width,
    height,
  )
}

describe('light', () => {
  // Rec. ITU-R BT.709-6, item 3.2: E'Y = 0.2126 E'R + 0.7152 E'G + 0.0722 E'B.
  test.each([
    ['red', [255, 0, 0], 54.213],
    ['green', [0, 255, 0], 182.376],
    ['blue', [0, 0, 255], 18.411],
    ['white', [255, 255, 255], 255],
    ['black', [0, 0, 0], 0],
  ])('of %s', (_, [red = 0, green = 0, blue = 0], luma) => {
    const rgba = new Uint8ClampedArray([red, green, blue, 255, red, green, blue, 255])
    expect(brightnessOf(frameOf(rgba, 2, 1))).toBeCloseTo(luma, 2)
  })

  test('half black and half white is 127.5, with the same again for contrast', () => {
    const half = frame((x) => (x < WIDTH / 2 ? 0 : 255))
    expect(brightnessOf(half)).toBeCloseTo(127.5, 6)
    expect(contrastOf(half)).toBeCloseTo(127.5, 6)
  })
})

describe('sharpness', () => {
  test('falls with every wider blur of the same checkerboard', () => {
    const sharp = checkerboard(8)
    const falling = [sharp, ...[1, 2, 3, 4].map((radius) => boxBlurred(sharp, radius))].map(sharpnessOf)
    for (const [index, value] of falling.entries()) if (index > 0) expect(value).toBeLessThan(falling[index - 1] ?? 0)
  })

  test('is the same for a pale and a strong picture', () => {
    const strong = checkerboard(4)
    const pale = frame((x, y) => 100 + (strong.luma[y * WIDTH + x] ?? 0) / 10)
    expect(sharpnessOf(pale)).toBeCloseTo(sharpnessOf(strong), 4)
  })

  test('of one shade is none', () => {
    expect(sharpnessOf(frame(() => 90))).toBe(0)
  })

  // By hand: on a checkerboard of single points each Laplacian is ±4 × 255; its variance is (4 × 255)², the picture's 127.5².
  test('of the finest checkerboard is 64', () => {
    expect(sharpnessOf(checkerboard(1))).toBeCloseTo((4 * 255) ** 2 / 127.5 ** 2, 3)
  })
})

describe('shaking', () => {
  const scene = (dx: number, dy: number) =>
    frame(
      (x, y) => 128 + 90 * Math.sin((x - dx) * 0.31 + 0.2 * Math.sin((y - dy) * 0.11)) * Math.cos((y - dy) * 0.23 + 1),
    )

  test('a picture that stands still has moved by nothing', () => {
    expect(shiftBetween(scene(0, 0), scene(0, 0))).toBe(0)
  })

  test('a picture that became lighter as a whole has not moved', () => {
    const { luma, width, height } = scene(0, 0)
    const lighter = { width, height, luma: luma.map((shade) => shade + 25) }
    expect(shiftBetween({ width, height, luma }, lighter)).toBe(0)
  })

  test('a shift is found as long as it is', () => {
    const blob = (dx: number, dy: number) =>
      frame((x, y) => 220 * Math.exp(-((x - 30 - dx) ** 2 + (y - 24 - dy) ** 2) / 60))
    fc.assert(
      fc.property(fc.integer({ min: -6, max: 6 }), fc.integer({ min: -6, max: 6 }), (dx, dy) => {
        expect(shiftBetween(blob(0, 0), blob(dx, dy))).toBeCloseTo(Math.hypot(dx, dy) / WIDTH, 6)
      }),
    )
  })
})
