import { readFileSync } from 'node:fs'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { CSV_COLUMNS, csvTemplate, readReferralCsv } from '#lib/domain/intake/csv.ts'

const today = Temporal.PlainDate.from('2026-11-25')
const utf8 = (text: string): Uint8Array => new TextEncoder().encode(text)
const read = (text: string) => readReferralCsv(utf8(text), today)

const header = 'given_name,family_name,received_on,reason'
const good = 'Quillon,Samplewood,2026-11-09,Ankle pain'

function names(text: string): string[] {
  return read(text).drafts.map(({ line, draft }) => `${line} ${draft.givenName}`)
}

describe('RFC 4180', () => {
  test.each<[string, string, string[]]>([
    ['lines end with CRLF', `${header}\r\n${good}\r\n`, ['2 Quillon']],
    ['the last line may lack its end', `${header}\r\n${good}`, ['2 Quillon']],
    ['lines end with LF', `${header}\n${good}\n`, ['2 Quillon']],
    ['line ends are mixed', `${header}\r\n${good}\n${good}\r\n`, ['2 Quillon', '3 Quillon']],
    ['a field in quotation marks holds commas', `${header}\n"Quillon, Jr",Samplewood,2026-11-09,x`, ['2 Quillon, Jr']],
    ['two quotation marks are one', `${header}\n"Quill""on",Samplewood,2026-11-09,x`, ['2 Quill"on']],
    [
      'a field holds lines, and the next row knows its line',
      `${header}\r\nA,B,2026-11-09,"x\r\ny\r\nz"\r\n${good}`,
      ['2 A', '5 Quillon'],
    ],
    ['empty lines count but are no rows', `${header}\n\n${good}\n\n\n${good}\n`, ['3 Quillon', '6 Quillon']],
    [
      'rows of nothing but commas are no rows',
      `${header}\n${good}\n,,,\n,,,\n${good}\n,,,\n`,
      ['2 Quillon', '5 Quillon'],
    ],
    ['a byte order mark is not part of the first name', `\uFEFF${header}\n${good}`, ['2 Quillon']],
    ['columns stand in any order, in any case', 'Reason,Received On,FAMILY_NAME,Given-Name\nx,2026-11-09,B,A', ['2 A']],
  ])('%s', (_name, text, expected) => {
    expect(names(text)).toEqual(expected)
    expect(read(text).faults).toEqual([])
  })

  test('whatever a field holds, it is read as it was written, at the line where its row begins', () => {
    // Trimming, NFC and the refusal of control characters belong to the draft, so the texts avoid them.
    const cell = fc.stringMatching(/^[a-zA-Zñ",;'\n]{1,40}$/).map((text) => `x${text}x`)
    fc.assert(
      fc.property(fc.array(cell, { minLength: 1, maxLength: 8 }), fc.constantFrom('\n', '\r\n'), (reasons, end) => {
        const rows = reasons.map((reason) => `A,B,2026-11-09,"${reason.replaceAll('"', '""')}"`)
        const file = read([header, ...rows].join(end))
        expect(file.faults).toEqual([])
        expect(file.drafts.map(({ draft }) => draft.reason)).toEqual(reasons)
        let line = 2
        for (const [index, reason] of reasons.entries()) {
          expect(file.drafts[index]?.line).toBe(line)
          line += reason.split('\n').length
        }
      }),
      { seed: 4180, numRuns: 200 },
    )
  })
})

describe('bad rows are listed and good ones come in', () => {
  test('a row with too few fields is named by its line', () => {
    const file = read(`${header}\n${good}\nA,B\n${good}`)
    expect(file.drafts.map(({ line }) => line)).toEqual([2, 4])
    expect(file.faults).toMatchObject([{ line: 3, reason: expect.stringContaining('2 fields') }])
  })

  test('each wrong field is named by its column', () => {
    const file = read(`${header},side\n,B,2026-11-31,x,inner\n${good},left`)
    expect(file.drafts.map(({ line }) => line)).toEqual([3])
    expect(file.faults.map(({ line, column }) => `${line} ${column}`)).toEqual([
      '2 given_name',
      '2 received_on',
      '2 side',
    ])
  })

  test.each<[string, string]>([
    ['text behind a closing quotation mark', '"A"x,B,2026-11-09,x'],
    ['a quotation mark that never closes', '"A,B,2026-11-09,x'],
  ])('%s spoils its own row only', (_name, row) => {
    const file = read(`${header}\n${good}\n${row}\n${good}\n${good}\n`)
    expect(file.drafts.map(({ line }) => line)).toEqual([2, 4, 5])
    expect(file.faults).toMatchObject([{ line: 3, reason: expect.stringContaining('quotation mark') }])
  })

  test('a file full of stray quotation marks ends early, and says where', () => {
    const file = read(`${header}\n${`"A"x,B,2026-11-09,x\n`.repeat(5000)}`)
    expect(file.faults).toHaveLength(51)
    expect(file.faults.at(-1)).toMatchObject({ line: 52, reason: expect.stringContaining('Nothing from here on') })
  })
})

describe('a file that cannot be read says why', () => {
  test.each<[string, Uint8Array, string]>([
    ['nothing in it', utf8(''), 'empty'],
    ['only empty lines', utf8('\n \n'), 'empty'],
    ['UTF-16 with a mark', Uint8Array.of(0xff, 0xfe, 0x67, 0x00), 'UTF-16'],
    ['UTF-16 without a mark', Uint8Array.of(0x67, 0x00, 0x69, 0x00), 'UTF-16'],
    ['Latin-1', Uint8Array.of(...utf8(`${header}\nMu`), 0xf1, ...utf8('oz,B,2026-11-09,x')), 'not written in UTF-8'],
    ['a header without rows', utf8(`${header}\n`), 'no row'],
    ['semicolons', utf8(header.replaceAll(',', ';')), 'commas'],
  ])('%s', (_name, bytes, words) => {
    const file = readReferralCsv(bytes, today)
    expect(file.drafts).toEqual([])
    expect(file.faults).toHaveLength(1)
    expect(file.faults[0]?.reason).toContain(words)
  })

  test('headers that are missing, unknown or there twice are each named', () => {
    const file = read('given_name,family_name,received_on,shoe_size,given_name\nA,B,2026-11-09,44,A')
    expect(file.drafts).toEqual([])
    expect(file.faults.map(({ column }) => column)).toEqual(['shoe_size', 'given_name', 'reason'])
  })
})

test('the template reads back as the example it shows', () => {
  const file = read(csvTemplate())
  expect(file.faults).toEqual([])
  expect(file.drafts).toHaveLength(1)
  expect(file.drafts[0]?.draft).toMatchObject({
    familyName: 'Samplewood',
    phone: '+12025550101',
    side: 'right',
    timeZone: 'America/Denver',
  })
  expect(csvTemplate().split('\r\n')[0]?.split(',')).toEqual(CSV_COLUMNS.map((column) => column.name))
})

test('the sample file comes in whole, and the one with faults says where they are', () => {
  const whole = readReferralCsv(readFileSync('seed/samples/referrals.csv'), today)
  expect(whole.faults).toEqual([])
  expect(whole.drafts).toHaveLength(12)
  const faulty = readReferralCsv(readFileSync('seed/samples/referrals-with-faults.csv'), today)
  expect(faulty.drafts.map(({ line }) => line)).toEqual([2, 7])
  expect([...new Set(faulty.faults.map(({ line }) => line))]).toEqual([3, 4, 5, 8, 9])
})

test('25 000 referrals (5 MB) are read in a few seconds', { timeout: 20_000 }, () => {
  const row = `Quillon,Samplewood,2026-11-09,${'Ankle pain after a walk. '.repeat(7)}\n`
  const file = read(`${header}\n${row.repeat(25_000)}`)
  expect(file.drafts).toHaveLength(25_000)
  expect(file.drafts.at(-1)?.line).toBe(25_001)
})
