/**
 * `npm run assess -- FILE` (`-` = what is piped in): screens the cases of a file and plans their exams, as JSON, by the
 * same engine as the pages but without a server. `--protocol FILE` takes another protocol than the demonstration foot and
 * ankle; `--schema` prints the form of a case. With a fault anywhere it prints no case, and ends with 2.
 */
import { readFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { z } from 'zod'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { loadProtocol } from '#lib/domain/protocol/load.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import { assessCase, caseSchemaFor } from '#lib/domain/screening/case.ts'
import { readCaseFile } from '#lib/domain/screening/case-file.ts'

const USAGE = 'npm run assess -- FILE [--protocol FILE]   (FILE is JSON or NDJSON, - reads what is piped in)\n'
const STANDARD_INPUT = 0

class Refused extends Error {
  override readonly name = 'Refused'
}

try {
  process.stdout.write(answer(process.argv.slice(2)))
} catch (error) {
  if (!(error instanceof Refused)) throw error
  process.stderr.write(error.message)
  process.exitCode = 2
}

function answer(args: string[]): string {
  const { values, positionals } = readArguments(args)
  const schema = caseSchemaFor(protocolFrom(values.protocol))
  if (values.schema) return `${JSON.stringify(z.toJSONSchema(schema, { io: 'input' }), null, 2)}\n`
  const [name] = positionals
  if (name === undefined || positionals.length > 1) throw new Refused(USAGE)

  const protocol = protocolFrom(values.protocol)
  const read = readCaseFile(textOf(name), schema)
  if (!read.ok) {
    const place = (line: number | null) => (line === null ? name : `${name}:${line}`)
    throw refusal(read.error.map(({ line, path, message }) => [place(line), path, message]))
  }
  const assessed = read.value.cases.map((each) => assessCase(each, protocol, DEFAULT_POLICY))
  switch (read.value.form) {
    case 'one':
      return `${JSON.stringify(assessed[0], null, 2)}\n`
    case 'list':
      return `${JSON.stringify(assessed, null, 2)}\n`
    case 'lines':
      return assessed.map((each) => `${JSON.stringify(each)}\n`).join('')
  }
}

function readArguments(args: string[]) {
  try {
    const options = { protocol: { type: 'string' }, schema: { type: 'boolean' } } as const
    return parseArgs({ args, allowPositionals: true, options })
  } catch (error) {
    throw new Refused(`${error instanceof Error ? error.message : String(error)}\n${USAGE}`)
  }
}

function protocolFrom(name: string | undefined): Protocol {
  const loaded = loadProtocol(name === undefined ? footAndAnkle : parsed(name))
  if (loaded.ok) return loaded.value
  throw refusal(loaded.error.map(({ path, message }) => [name ?? 'protocol', path, message]))
}

function parsed(name: string): unknown {
  const text = textOf(name)
  try {
    return JSON.parse(text)
  } catch (error) {
    throw refusal([[name, '', `is not JSON: ${error instanceof Error ? error.message : String(error)}`]])
  }
}

function textOf(name: string): string {
  try {
    return readFileSync(name === '-' ? STANDARD_INPUT : name, 'utf8')
  } catch (error) {
    throw refusal([[name, '', `can't be read: ${error instanceof Error ? error.message : String(error)}`]])
  }
}

function refusal(faults: readonly (readonly string[])[]): Refused {
  return new Refused(faults.map((parts) => `${parts.filter((part) => part !== '').join(': ')}\n`).join(''))
}
