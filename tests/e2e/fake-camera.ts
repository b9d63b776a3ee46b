/**
 * Films for the browser's own fake camera (Chromium reads YUV4MPEG2 files: a header line, then for each picture the word
 * FRAME, its luma and its two colour planes at half size). Each is one fault and nothing else.
 */
import { writeFileSync } from 'node:fs'

export const FILMS = ['good', 'dark', 'blurred', 'shaking'] as const
export type Film = (typeof FILMS)[number]

/** Upright, as a phone films. */
const WIDTH = 480
const HEIGHT = 854

/** Writes one film. It runs at 30 pictures a second and begins anew at its end. */
export function writeFilm(path: string, film: Film): void {
  const colours = Buffer.alloc((WIDTH * HEIGHT) / 2, 128)
  const parts: Buffer[] = [Buffer.from(`YUV4MPEG2 W${WIDTH} H${HEIGHT} F30:1 Ip A1:1 C420jpeg\n`)]
  for (let picture = 0; picture < (film === 'shaking' ? SHAKEN : 1); picture += 1)
    parts.push(Buffer.from('FRAME\n'), lumaOf(film, picture), colours)
  writeFileSync(path, Buffer.concat(parts))
}

/** A prime number of pictures. */
const SHAKEN = 37

/**
 * A hand trembles to and fro, as far as a seventh of the picture. Squares modulo a prime: whoever looks at every 7th, 8th or
 * 9th picture, as a slower machine does, still never meets one that lies where the last one lay time after time.
 */
function shakenBy(picture: number): number {
  return Math.round(((picture * picture) % SHAKEN) * (WIDTH / 7 / SHAKEN))
}

function lumaOf(film: Film, picture: number): Buffer {
  const luma = Buffer.alloc(WIDTH * HEIGHT)
  const shift = film === 'shaking' ? shakenBy(picture) : 0
  for (let y = 0; y < HEIGHT; y += 1)
    for (let x = 0; x < WIDTH; x += 1) luma[y * WIDTH + x] = shadeAt(film, x + shift, y)
  return luma
}

/** Tiles of two shades with a leg standing on them: edges of every direction in a room of plain light. */
function shadeAt(film: Film, x: number, y: number): number {
  switch (film) {
    case 'dark':
      return Math.round(tiles(x, y) * 0.16)
    case 'blurred':
      return Math.round(128 + 60 * Math.sin(x / 45) * Math.cos(y / 60))
    case 'good':
    case 'shaking':
      return tiles(x, y)
  }
}

function tiles(x: number, y: number): number {
  const isLeg = Math.abs(x - WIDTH / 2 - 0.1 * (y - HEIGHT / 2)) < 50
  if (isLeg) return 170
  return (Math.floor(x / 48) + Math.floor(y / 48)) % 2 === 0 ? 90 : 140
}
