/**
 * The app's typeface for print, in two weights. It is shipped as WOFF (https://www.w3.org/TR/WOFF/), whose tables the PDF
 * library would inflate again for every letter, so it is unpacked once a process.
 */
import { readFile } from 'node:fs/promises'
import { join } from 'node:path'
import { inflateSync } from 'node:zlib'
import { create, type Font } from 'fontkit'

/** Each weight's faces: the letters of English and Spanish, then those of other Latin languages. */
export const FACES = {
  plain: ['latin-400-normal', 'latin-ext-400-normal'],
  strong: ['latin-700-normal', 'latin-ext-700-normal'],
} as const
export type Weight = keyof typeof FACES

export type Typeface = ReadonlyMap<string, Font>

const FILES = 'node_modules/@fontsource/atkinson-hyperlegible-next/files/atkinson-hyperlegible-next'

let reading: Promise<Typeface> | null = null

/** By the names in `FACES`; read once a process. */
export function typeface(): Promise<Typeface> {
  reading ??= Promise.all(
    Object.values(FACES)
      .flat()
      .map(async (face) => [face, await read(face)] as const),
  ).then((faces) => new Map(faces))
  return reading
}

async function read(face: string): Promise<Font> {
  const woff = await readFile(join(/* turbopackIgnore: true */ process.cwd(), `${FILES}-${face}.woff`))
  const font = create(unpacked(woff))
  if (!('characterSet' in font)) throw new Error('one face a file')
  return font
}

const WOFF_HEADER = 44
const WOFF_ENTRY = 20
const SFNT_HEADER = 12
const SFNT_ENTRY = 16

/** WOFF 1.0 back to the font that it was made from: sections 3 (header), 4 (table directory) and 5 (tables). */
export function unpacked(woff: Buffer): Buffer {
  const count = woff.readUInt16BE(12)
  const sfnt = Buffer.alloc(woff.readUInt32BE(16))
  woff.copy(sfnt, 0, 4, 8)
  const power = Math.floor(Math.log2(count))
  sfnt.writeUInt16BE(count, 4)
  sfnt.writeUInt16BE(2 ** power * 16, 6)
  sfnt.writeUInt16BE(power, 8)
  sfnt.writeUInt16BE((count - 2 ** power) * 16, 10)
  let at = SFNT_HEADER + count * SFNT_ENTRY
  for (let n = 0; n < count; n += 1) {
    const from = WOFF_HEADER + n * WOFF_ENTRY
    const [offset, packed, length] = [4, 8, 12].map((field) => woff.readUInt32BE(from + field)) as [
      number,
      number,
      number,
    ]
    const bytes = woff.subarray(offset, offset + packed)
    const table = packed < length ? inflateSync(bytes) : bytes
    const entry = SFNT_HEADER + n * SFNT_ENTRY
    woff.copy(sfnt, entry, from, from + 4)
    woff.copy(sfnt, entry + 4, from + 16, from + 20)
    sfnt.writeUInt32BE(at, entry + 8)
    sfnt.writeUInt32BE(length, entry + 12)
    table.copy(sfnt, at)
    at += (length + 3) & ~3
  }
  return sfnt
}
