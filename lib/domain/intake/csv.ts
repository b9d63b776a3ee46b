/**
 * Which referrals does a CSV file hold? RFC 4180 in UTF-8, with or without a
 * byte order mark, LF or CRLF, a header row, quoted fields that may hold lines.
 *
 * One broken row is listed and reading goes on at the next line, so that a stray
 * quotation mark on line 3 does not swallow the patients behind it.
 */
import { CsvError, parse } from 'csv-parse/sync'
import type { Temporal } from '#lib/base/time.ts'
import { decodeText, ENCODING_FAULT_WORDS } from './decode-text.ts'
import { type DraftField, type RawReferral, readDraft, sayDraftFault } from './referral-draft.ts'
import { type FileFault, type ReferralFile, unreadable } from './referral-file.ts'

export type CsvColumn = { name: string; field: DraftField; needed: boolean; means: string; example: string }

/** The columns, in the template's order; a file may have them in any order and leave out those that are not needed. */
export const CSV_COLUMNS: readonly CsvColumn[] = [
  {
    name: 'external_id',
    field: 'externalId',
    needed: false,
    means:
      'The number that the sender gave this referral. With it the same referral is recognised when it comes again.',
    example: 'R-1001',
  },
  { name: 'given_name', field: 'givenName', needed: true, means: 'First and middle names.', example: 'Quillon' },
  { name: 'family_name', field: 'familyName', needed: true, means: 'Last name or names.', example: 'Samplewood' },
  { name: 'birth_date', field: 'birthDate', needed: false, means: 'Year-month-day.', example: '1961-03-09' },
  {
    name: 'phone',
    field: 'phone',
    needed: false,
    means: 'Ten digits, or + and the country code.',
    example: '+1 202-555-0101',
  },
  { name: 'email', field: 'email', needed: false, means: 'E-mail address.', example: 'quillon.samplewood@example.org' },
  {
    name: 'language',
    field: 'language',
    needed: false,
    means: 'What the patient reads: en or es. Empty means en.',
    example: 'en',
  },
  {
    name: 'interpreter_language',
    field: 'interpreterLanguage',
    needed: false,
    means: 'Language tag, if an interpreter is needed in the visit.',
    example: '',
  },
  {
    name: 'address_line',
    field: 'addressLine',
    needed: false,
    means: 'Street and number.',
    example: '12 Example Street',
  },
  { name: 'city', field: 'city', needed: false, means: 'City.', example: 'Sampleton' },
  { name: 'state', field: 'state', needed: false, means: 'State where the patient is, two letters.', example: 'CO' },
  { name: 'postal_code', field: 'postalCode', needed: false, means: 'ZIP code.', example: '80000' },
  {
    name: 'time_zone',
    field: 'timeZone',
    needed: false,
    means: 'Name of the zone. Empty is fine in states that have only one.',
    example: 'America/Denver',
  },
  {
    name: 'referrer_name',
    field: 'referrerName',
    needed: false,
    means: 'Who referred.',
    example: 'Dr. Fern Placeholder',
  },
  {
    name: 'referrer_phone',
    field: 'referrerPhone',
    needed: false,
    means: 'Their phone number.',
    example: '+1 202-555-0190',
  },
  {
    name: 'received_on',
    field: 'receivedOn',
    needed: true,
    means: 'The day on which the referral reached the clinic, year-month-day.',
    example: '2026-01-05',
  },
  {
    name: 'reason',
    field: 'reason',
    needed: true,
    means: 'Why the patient is referred, in the referrer’s words.',
    example: 'Right inner ankle pain for three months, arch is lower',
  },
  {
    name: 'icd10',
    field: 'icd10',
    needed: false,
    means: 'ICD-10-CM codes with a space between two.',
    example: 'M76.821',
  },
  {
    name: 'condition',
    field: 'conditionText',
    needed: false,
    means: 'What the referrer suspects, in words.',
    example: 'Posterior tibial tendinitis',
  },
  { name: 'side', field: 'side', needed: false, means: 'left, right or both.', example: 'right' },
  {
    name: 'priority',
    field: 'priority',
    needed: false,
    means: 'routine, urgent, asap or stat. Empty means routine.',
    example: 'routine',
  },
]

/** A file with the header and one example row, to start from. */
export function csvTemplate(): string {
  const row = (cells: string[]): string => `${cells.map(quoted).join(',')}\r\n`
  return row(CSV_COLUMNS.map((column) => column.name)) + row(CSV_COLUMNS.map((column) => column.example))
}

function quoted(cell: string): string {
  return /[",\r\n]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell
}

/** Reads a whole file. `today` is the clinic's date. */
export function readReferralCsv(bytes: Uint8Array, today: Temporal.PlainDate): ReferralFile {
  const decoded = decodeText(bytes)
  if (!decoded.ok) return unreadable(ENCODING_FAULT_WORDS[decoded.error])

  const { rows, faults } = splitRows(decoded.value.bytes)
  const [header, ...body] = rows
  if (!header) return { drafts: [], faults }
  const columns = readHeader(header)
  if ('faults' in columns) return { drafts: [], faults: columns.faults }
  if (body.length === 0 && faults.length === 0) {
    return unreadable('There is a header but no row below it.', header.line)
  }

  const file: ReferralFile = { drafts: [], faults }
  for (const { line, cells } of body) {
    if (cells.length !== columns.fields.length) {
      const reason = `This row has ${cells.length} fields, the header has ${columns.fields.length}. Put a field that holds a comma in quotation marks.`
      file.faults.push({ line, column: '', reason })
      continue
    }
    const raw: RawReferral = Object.fromEntries(columns.fields.map((field, index) => [field, cells[index]]))
    const draft = readDraft(raw, today)
    if (draft.ok) file.drafts.push({ line, draft: draft.value })
    else {
      for (const { field, code } of draft.error) {
        file.faults.push({ line, column: nameOf(field), reason: sayDraftFault(code) })
      }
    }
  }
  file.faults.sort((a, b) => a.line - b.line)
  return file
}

type Row = { line: number; cells: string[] }

/** A referral's texts together stay well below this; a row that runs on for longer has lost a quotation mark. */
const ROW_MAX_BYTES = 64 * 1024
/** Each row that runs on is read twice, so their number bounds the work. */
const RUN_ON_MAX = 50

const RUN_ON_WORDS =
  'A quotation mark opens here and does not close properly. Close it, and write a quotation mark inside a field twice ("").'

function splitRows(bytes: Uint8Array): { rows: Row[]; faults: FileFault[] } {
  const rows: Row[] = []
  const faults: FileFault[] = []
  const place = new Place(bytes)
  let runOn = 0

  while (place.skipBlank()) {
    const from = place.at
    try {
      parse(bytes.subarray(from), {
        record_delimiter: ['\r\n', '\n', '\r'],
        relax_column_count: true,
        skip_empty_lines: true,
        max_record_size: ROW_MAX_BYTES,
        on_record: (record: string[], info) => {
          place.skipBlank()
          // Spreadsheets leave rows of nothing but commas at the end.
          if (record.some((cell) => cell.trim() !== '')) rows.push({ line: place.line, cells: record })
          place.moveTo(from + info.bytes)
          return null
        },
      })
      break
    } catch (error) {
      if (!(error instanceof CsvError)) throw error
      place.skipBlank()
      faults.push({ line: place.line, column: '', reason: RUN_ON_WORDS })
      runOn += 1
      if (runOn === RUN_ON_MAX) {
        faults.push({
          line: place.line + 1,
          column: '',
          reason: 'Too many rows like this. Nothing from here on was read.',
        })
        break
      }
      place.skipLine()
    }
  }
  return { rows, faults }
}

const LF = 0x0a
const CR = 0x0d

/** Where reading stands, in bytes and in lines as an editor counts them. Only ever moves forward, so counting is linear. */
class Place {
  at = 0
  line = 1
  readonly #bytes: Uint8Array

  constructor(bytes: Uint8Array) {
    this.#bytes = bytes
  }

  /** Over empty lines to the next row. False at the end of the file. */
  skipBlank(): boolean {
    while (this.#bytes[this.at] === LF || this.#bytes[this.at] === CR) this.#step()
    return this.at < this.#bytes.length
  }

  skipLine(): void {
    while (this.at < this.#bytes.length && this.#bytes[this.at] !== LF && this.#bytes[this.at] !== CR) this.at += 1
    this.skipBlank()
  }

  moveTo(offset: number): void {
    while (this.at < offset) this.#step()
  }

  #step(): void {
    const byte = this.#bytes[this.at]
    // A CR before an LF is the same line end.
    if (byte === LF || (byte === CR && this.#bytes[this.at + 1] !== LF)) this.line += 1
    this.at += 1
  }
}

const byName = new Map(CSV_COLUMNS.map((column) => [column.name, column]))

function nameOf(field: DraftField): string {
  return CSV_COLUMNS.find((column) => column.field === field)?.name ?? ''
}

function readHeader({ line, cells }: Row): { fields: DraftField[] } | { faults: FileFault[] } {
  const names = cells.map((cell) => cell.trim().toLowerCase().replace(/[ -]+/g, '_'))
  const faults: FileFault[] = []
  if (cells.length === 1 && /[;\t]/.test(cells[0] ?? '')) {
    return {
      faults: [
        {
          line,
          column: '',
          reason: 'The columns are not separated by commas. Save the file again as CSV with commas.',
        },
      ],
    }
  }
  for (const [index, name] of names.entries()) {
    if (!byName.has(name)) {
      faults.push({
        line,
        column: cells[index] ?? '',
        reason: 'This column is not known. Take it out, or name it as in the template.',
      })
    } else if (names.indexOf(name) < index) {
      faults.push({ line, column: name, reason: 'This column is there twice. Take one out.' })
    }
  }
  for (const { name, needed } of CSV_COLUMNS) {
    if (needed && !names.includes(name))
      faults.push({ line, column: name, reason: 'This column is needed and is missing.' })
  }
  if (faults.length > 0) return { faults }
  return { fields: names.flatMap((name) => byName.get(name)?.field ?? []) }
}
