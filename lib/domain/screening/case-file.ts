/**
 * Which cases does a file hold, and is every one of them whole?
 *
 * A file is one case, a list of cases, or one case a line (NDJSON). Either all of it is good, or every fault is told with
 * its place and nothing is screened: a half-read audit would pass for a whole one.
 */
import type { z } from 'zod'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Case, caseSchemaFor } from './case.ts'

export type CaseFile = { form: 'one' | 'list' | 'lines'; cases: Case[] }
/** Where a fault is: the line it stands on (one case a line) and the path within. */
export type CaseFault = { line: number | null; path: string; message: string }

type Entry = { line: number | null; path: string; document: unknown }

/** Reads a file's text against the form of a case. */
export function readCaseFile(text: string, schema: ReturnType<typeof caseSchemaFor>): Result<CaseFile, CaseFault[]> {
  const found = entriesOf(text.replace(/^\uFEFF/, ''))
  if (!found.ok) return found
  const { form, entries } = found.value
  const cases: Case[] = []
  const faults: CaseFault[] = []
  for (const { line, path, document } of entries) {
    const parsed = schema.safeParse(document)
    if (parsed.success) cases.push(parsed.data)
    else for (const issue of parsed.error.issues) faults.push(...faultsOf(issue, line, path))
  }
  return faults.length > 0 ? err(faults) : ok({ form, cases })
}

/** A name that is not known stands in the path, where whoever mends it looks. */
function faultsOf(issue: z.core.$ZodIssue, line: number | null, above: string): CaseFault[] {
  const at = (...more: string[]) => [above, ...issue.path.map(String), ...more].filter((part) => part !== '').join('.')
  if (issue.code === 'unrecognized_keys')
    return issue.keys.map((key) => ({ line, path: at(key), message: 'is not a name that the form has' }))
  return [{ line, path: at(), message: issue.message }]
}

function entriesOf(text: string): Result<{ form: CaseFile['form']; entries: Entry[] }, CaseFault[]> {
  if (text.trim() === '') return err([{ line: null, path: '', message: 'holds no case' }])
  const whole = parse(text)
  if (whole.ok) {
    const { value } = whole
    if (!Array.isArray(value)) return ok({ form: 'one', entries: [{ line: null, path: '', document: value }] })
    return ok({
      form: 'list',
      entries: value.map((document: unknown, index) => ({ line: null, path: String(index), document })),
    })
  }
  const lines = text
    .split('\n')
    .map((content, index) => ({ line: index + 1, content }))
    .filter(({ content }) => content.trim() !== '')
  const parsed = lines.map(({ line, content }) => ({ line, document: parse(content) }))
  // One case a line, if any line is one by itself; else it was meant to be a single document.
  const isLines = parsed.some(({ document }) => document.ok && isObject(document.value))
  if (!isLines || text.trimStart().startsWith('[')) return err([{ line: null, path: '', message: whole.error }])
  const faults: CaseFault[] = []
  const entries: Entry[] = []
  for (const { line, document } of parsed) {
    if (document.ok) entries.push({ line, path: '', document: document.value })
    else faults.push({ line, path: '', message: document.error })
  }
  return faults.length > 0 ? err(faults) : ok({ form: 'lines', entries })
}

function parse(text: string): Result<unknown, string> {
  try {
    return ok(JSON.parse(text))
  } catch (error) {
    return err(`is not JSON: ${error instanceof Error ? error.message : String(error)}`)
  }
}

function isObject(value: unknown): boolean {
  return typeof value === 'object' && value !== null
}
