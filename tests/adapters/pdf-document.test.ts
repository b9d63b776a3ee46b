/** Documents are read back by PDF.js, which shares no code with what writes them. */
import { createHash } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { type PdfBlock, renderPdf } from '#lib/adapters/pdf-document.ts'
import { unpacked } from '#lib/adapters/typeface.ts'
import { readPdf } from '#tests/support/read-pdf.ts'

const written = (blocks: readonly PdfBlock[], change: Partial<Parameters<typeof renderPdf>[0]> = {}) =>
  renderPdf({
    title: 'A document',
    language: 'en',
    foot: 'Call (555) 555-0100.',
    pageOf: (page, pages) => `Page ${page} of ${pages}`,
    blocks,
    madeAt: new Date('2026-03-01T08:00:00Z'),
    ...change,
  })
const read = async (...given: Parameters<typeof written>) => readPdf(await written(...given))

test('says its language and title, and that it is tagged', async () => {
  expect(await read([{ text: 'Palabras' }], { language: 'es', title: 'Un documento' })).toMatchObject({
    language: 'es',
    title: 'Un documento',
    isTagged: true,
  })
})

// ISO 14289-1 (PDF/UA-1) clause 5: the file says by this mark in its metadata that it means to conform.
test('carries the mark of PDF/UA-1', async () => {
  expect((await written([{ text: 'Words' }])).toString('latin1')).toContain('<pdfuaid:part>1</pdfuaid:part>')
})

test('headings, paragraphs, lists and tables are tagged as what they are, in reading order', async () => {
  const { tags } = await read([
    { heading: 'One', level: 1 },
    { text: 'First' },
    { heading: 'Two', level: 2 },
    { list: [{ text: 'a', also: ['b', 'c'] }], numbered: true },
    { table: { head: ['Name', 'Value'], rows: [['x', '1']] } },
    { address: 'https://example.org/join' },
  ])
  const named = tags.map(({ tag, text }) => `${tag} ${text}`)
  for (const each of [
    'H1 One',
    'P First',
    'H2 Two',
    'Lbl 1.',
    'P a',
    'TH Name',
    'TD x',
    'Link https://example.org/join',
  ])
    expect(named).toContain(each)
  expect(tags.filter(({ tag }) => tag === 'L').map(({ children }) => children.length)).toEqual([1, 2])
  const kinds = tags.map(({ tag }) => tag)
  expect(kinds.indexOf('H1')).toBeLessThan(kinds.indexOf('H2'))
  expect(kinds.indexOf('L')).toBeLessThan(kinds.indexOf('Table'))
})

test('a heading may go on in its line, and is heard apart from what goes on', async () => {
  const { tags, text } = await read([
    { heading: 'Rise up', level: 4, text: 'First your left foot.' },
    { label: 'You:', text: 'Hold on.' },
  ])
  expect(text).toContain('Rise up First your left foot.')
  const named = tags.map((each) => `${each.tag} ${each.text}`)
  for (const each of ['H4 Rise up', 'P First your left foot.', 'P You: Hold on.']) expect(named).toContain(each)
})

test('a drawing has its words, and what only decorates has none', async () => {
  const drawing = {
    width: 100,
    height: 50,
    title: 'From the side',
    description: 'You stand 90 cm away.',
    shapes: [
      { hand: 'ink', path: 'M0 0L10 10' },
      { words: ['90 cm'], at: [50, 20], align: 'middle' },
    ] as const,
  }
  const { tags } = await read([
    { beside: [drawing, drawing], blocks: [{ heading: 'Views', level: 3 }, { text: 'Two.' }] },
  ])
  // Heard after the heading that they belong to.
  expect(tags.map(({ tag }) => tag).filter((tag) => tag !== 'Document' && tag !== 'Root')).toEqual([
    'H3',
    'Figure',
    'Figure',
    'P',
  ])
  const figures = tags.filter(({ tag }) => tag === 'Figure')
  expect(figures.map(({ alt }) => alt)).toEqual([
    'From the side. You stand 90 cm away.',
    'From the side. You stand 90 cm away.',
  ])
})

test('every page has the foot and its number, which are heard with none of the text', async () => {
  const paragraphs = Array.from({ length: 120 }, (_, n) => ({ text: `Paragraph ${n} of many, one after the other.` }))
  const { pages, tags } = await read(paragraphs)
  expect(pages.length).toBeGreaterThan(2)
  for (const [at, { text }] of pages.entries()) {
    expect(text).toContain('Call (555) 555-0100.')
    expect(text).toContain(`Page ${at + 1} of ${pages.length}`)
  }
  expect(tags.some(({ text }) => text.includes('555-0100') || text.includes('Page 1'))).toBe(false)
})

describe('over a page’s end', () => {
  const filler = (lines: number): PdfBlock[] => Array.from({ length: lines }, (_, n) => ({ text: `Line ${n}` }))
  const pageOf = async (blocks: readonly PdfBlock[], words: string) => {
    const { pages } = await read(blocks)
    return pages.findIndex(({ text }) => text.includes(words))
  }

  // Wherever on the page the block comes to stand.
  test.each(Array.from({ length: 12 }, (_, n) => 20 + n))(
    'a heading stays with what it heads, and a kept block in one piece, after %i lines',
    async (lines) => {
      const kept: PdfBlock = { together: [{ text: 'BEGIN' }, ...filler(4), { text: 'END' }], ruled: true }
      const blocks: PdfBlock[] = [...filler(lines), { heading: 'HEAD', level: 2 }, kept]
      expect(await pageOf(blocks, 'HEAD')).toBe(await pageOf(blocks, 'BEGIN'))
      expect(await pageOf(blocks, 'END')).toBe(await pageOf(blocks, 'BEGIN'))
    },
  )

  test('what is longer than a page goes on, and nothing of it is lost', async () => {
    const long: PdfBlock = { together: filler(80), ruled: true }
    const { text } = await read([long])
    for (let n = 0; n < 80; n += 1) expect(text).toContain(`Line ${n}`)
  })

  // Wherever on the page it comes to stand: down the left column, then down the right one, and no item in two pieces.
  test.each(Array.from({ length: 14 }, (_, n) => 18 + n))(
    'a list in columns keeps its items whole and in order, under what leads to it, after %i lines',
    async (lines) => {
      const list = Array.from({ length: 16 }, (_, n) => ({
        text: `(${n}) begins and is long enough for two lines at the least`,
        also: n % 3 === 0 ? [`first under (${n})`, `last under (${n})`] : [`last under (${n})`],
      }))
      const { pages, tags } = await read([...filler(lines), { list, lead: 'Call if one is so:', columns: true }])
      const reached = pages.filter(({ text }) => text.includes('last under'))
      for (const { text } of reached) expect(text.split('Call if one is so:')).toHaveLength(2)
      for (let n = 0; n < list.length; n += 1) {
        const page = pages.find(({ text }) => text.includes(`(${n}) begins`))
        expect(page?.text).toContain(`last under (${n})`)
      }
      // A list on two pages is named on both, with the text of each.
      const heard = tags.flatMap(({ tag, text }) => (tag === 'P' && text !== '' ? [text] : []))
      expect(heard.filter((text) => text === 'Call if one is so:')).toHaveLength(1)
      expect(heard.slice(lines + 1)).toEqual(list.flatMap(({ text, also }) => [text, ...also]))
      // Two columns take about half the room of one.
      expect(pages.length).toBeLessThanOrEqual(2)
    },
  )

  test('an item that is longer than a page goes on, and nothing of it is lost', async () => {
    const also = Array.from({ length: 90 }, (_, n) => `Sub ${n}.`)
    const { text } = await read([
      { list: [{ text: 'BEGIN' }, { text: 'LONG', also }, { text: 'END' }], lead: 'If:', columns: true },
    ])
    for (const words of ['BEGIN', 'LONG', ...also, 'END']) expect(text).toContain(words)
  })

  test.each([0, 10, 20, 30])('words stand on the page of the drawings beside them, after %i lines', async (lines) => {
    const drawing = { width: 400, height: 500, title: 'T', description: 'D', shapes: [] }
    const words: PdfBlock[] = [{ heading: 'HEAD', level: 3 }, { text: 'NEXT' }, ...filler(6), ...filler(40)]
    const { pages } = await read([...filler(lines), { beside: [drawing], blocks: [...words, { text: 'FAR BELOW' }] }])
    const page = pages.findIndex(({ text }) => text.includes('HEAD'))
    expect(pages[page]?.text).toContain('NEXT Line 0 Line 1')
    expect(pages.findIndex(({ text }) => text.includes('FAR BELOW'))).toBe(page + 1)
  })

  test.each([0, 38, 40])(
    'two blocks side by side are on one page, and the left one is heard first, after %i lines',
    async (lines) => {
      const column = (words: string): PdfBlock[] => [
        { heading: `${words} HEAD`, level: 2 },
        ...filler(3),
        { text: words },
      ]
      const { pages, tags } = await read([...filler(lines), { sideBySide: [column('LEFT'), column('RIGHT')] }])
      const page = pages.find(({ text }) => text.includes('LEFT HEAD'))
      expect(page?.text).toContain('RIGHT HEAD')
      const heard = tags.map(({ text }) => text)
      expect(heard.indexOf('LEFT')).toBeLessThan(heard.indexOf('RIGHT HEAD'))
    },
  )

  test('a table says its head again on each page; it is heard once', async () => {
    const rows = Array.from({ length: 70 }, (_, n) => [`row ${n}`, 'yes'])
    const { pages, tags } = await read([{ table: { head: ['Station', 'Done'], rows } }])
    expect(pages.length).toBeGreaterThan(1)
    for (const { text } of pages) expect(text).toContain('Station')
    expect(tags.filter(({ tag, text }) => tag === 'TH' && text === 'Station')).toHaveLength(1)
  })
})

test('letters of other Latin languages are written, and what no face has becomes a question mark', async () => {
  const { text } = await read([{ text: 'Łukasz Žáček, Ñandú ¿qué? 🙂' }])
  expect(text).toContain('Łukasz Žáček, Ñandú ¿qué? ?')
})

test('only the shipped typeface is in the file, embedded', async () => {
  const file = (await written([{ text: 'plain Łukasz' }, { heading: 'Strong', level: 1 }])).toString('latin1')
  const names = [...file.matchAll(/\/BaseFont \/(\S+)/g)].map(([, name]) => name)
  expect(names.length).toBeGreaterThan(2)
  expect(names.filter((name) => !/^[A-Z]{6}\+AtkinsonHyperlegibleNext/.test(name ?? ''))).toEqual([])
})

test('the same content gives the same bytes', async () => {
  const hash = async () =>
    createHash('sha256')
      .update(await written([{ text: 'Same' }]))
      .digest('hex')
  expect(await hash()).toBe(await hash())
})

// OpenType, "Calculating checksums": each table's sum of big-endian longs stands in the directory, that of `head` aside.
test('an unpacked typeface has the tables that its directory promises', () => {
  const folder = 'node_modules/@fontsource/atkinson-hyperlegible-next/files'
  const sfnt = unpacked(readFileSync(`${folder}/atkinson-hyperlegible-next-latin-400-normal.woff`))
  const count = sfnt.readUInt16BE(4)
  expect(count).toBeGreaterThan(8)
  for (let n = 0; n < count; n += 1) {
    const entry = 12 + n * 16
    if (sfnt.toString('latin1', entry, entry + 4) === 'head') continue
    const [sum, offset, length] = [4, 8, 12].map((field) => sfnt.readUInt32BE(entry + field)) as [
      number,
      number,
      number,
    ]
    let found = 0
    for (let at = offset; at < offset + length; at += 4) found = (found + sfnt.readUInt32BE(at)) >>> 0
    expect(found).toBe(sum)
  }
})
