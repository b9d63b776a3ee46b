/**
 * What is a camera's picture like: light enough, sharp, still? Plain measures of one or two frames, so that a patient can
 * mend the picture before the visit. They run in the browser on small frames; no picture ever leaves it.
 */

/** One frame in shades of grey, row by row, 0 = black to 255 = white. */
export type Frame = { width: number; height: number; luma: Float32Array }

/** Luma of red, green, blue, alpha bytes: 0.2126 R + 0.7152 G + 0.0722 B (Rec. ITU-R BT.709-6, item 3.2). */
export function frameOf(rgba: Uint8ClampedArray, width: number, height: number): Frame {
  const luma = new Float32Array(width * height)
  for (let at = 0; at < luma.length; at += 1) {
    const [red = 0, green = 0, blue = 0] = [rgba[4 * at], rgba[4 * at + 1], rgba[4 * at + 2]]
    luma[at] = 0.2126 * red + 0.7152 * green + 0.0722 * blue
  }
  return { width, height, luma }
}

/** The mean shade. */
export function brightnessOf({ luma }: Frame): number {
  return meanOf(luma)
}

/** The standard deviation of the shades. */
export function contrastOf({ luma }: Frame): number {
  return Math.sqrt(varianceOf(luma))
}

/**
 * How sharp the edges are: the variance of the Laplacian (Pech-Pacheco JL et al. ICPR 2000;3:314-7), as a share of the
 * variance of the picture, so that a pale picture is not taken for a blurred one. A picture of one shade has no edges: 0.
 */
export function sharpnessOf(frame: Frame): number {
  const { width, height, luma } = frame
  const variance = varianceOf(luma)
  if (width < 3 || height < 3 || variance === 0) return 0
  const edges = new Float32Array((width - 2) * (height - 2))
  let next = 0
  for (let y = 1; y < height - 1; y += 1)
    for (let x = 1; x < width - 1; x += 1) {
      const at = y * width + x
      const around = shade(luma, at - 1) + shade(luma, at + 1) + shade(luma, at - width) + shade(luma, at + width)
      edges[next] = around - 4 * shade(luma, at)
      next += 1
    }
  return varianceOf(edges) / variance
}

/** The farthest shift that is looked for, as a share of the side. */
const MOST_SHIFT = 0.15

/**
 * How far the picture moved from one frame to the next, as a share of its width: the shift at which the sums of the
 * columns and of the rows lie over each other best.
 */
export function shiftBetween(before: Frame, after: Frame): number {
  const across = bestShift(columnsOf(before), columnsOf(after))
  const down = bestShift(rowsOf(before), rowsOf(after))
  return Math.hypot(across, down) / before.width
}

function columnsOf({ width, height, luma }: Frame): Float32Array {
  const sums = new Float32Array(width)
  for (let y = 0; y < height; y += 1)
    for (let x = 0; x < width; x += 1) sums[x] = shade(sums, x) + shade(luma, y * width + x)
  return sums
}

function rowsOf({ width, height, luma }: Frame): Float32Array {
  const sums = new Float32Array(height)
  for (let y = 0; y < height; y += 1)
    for (let x = 0; x < width; x += 1) sums[y] = shade(sums, y) + shade(luma, y * width + x)
  return sums
}

/** In steps of the list; of equal ones the smallest. */
function bestShift(before: Float32Array, after: Float32Array): number {
  const most = Math.floor(before.length * MOST_SHIFT)
  const means = { before: meanOf(before), after: meanOf(after) }
  let best = { shift: 0, difference: Number.POSITIVE_INFINITY }
  for (const shift of shiftsUpTo(most)) {
    let difference = 0
    let count = 0
    for (let at = Math.max(0, -shift); at < before.length - Math.max(0, shift); at += 1) {
      // A lamp that flickers makes everything lighter at once; that is no shift.
      difference += (shade(before, at) - means.before - (shade(after, at + shift) - means.after)) ** 2
      count += 1
    }
    // A hair better is noise.
    if (difference / count < best.difference * 0.999) best = { shift, difference: difference / count }
  }
  return best.shift
}

/** 0, 1, −1, 2, −2, … */
function shiftsUpTo(most: number): number[] {
  return [0, ...Array.from({ length: most }, (_, index) => [index + 1, -index - 1]).flat()]
}

function shade(list: Float32Array, at: number): number {
  return list[at] ?? 0
}

function meanOf(list: Float32Array): number {
  let sum = 0
  for (const value of list) sum += value
  return list.length === 0 ? 0 : sum / list.length
}

function varianceOf(list: Float32Array): number {
  const mean = meanOf(list)
  let sum = 0
  for (const value of list) sum += (value - mean) ** 2
  return list.length === 0 ? 0 : sum / list.length
}
