/**
 * Who may import whom, held against every import of every file. The decisions stay pure, the use cases stay free of the
 * framework, and only the wiring knows everything: without this table that is true for a month.
 */
import { execFileSync } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { dirname, join } from 'node:path'
import { describe, expect, test } from 'vitest'

/** The longest entry that a file lies under counts. What is not listed is out of bounds. */
const MAY_IMPORT: Record<string, readonly string[]> = {
  'lib/base': ['lib/base', 'temporal-polyfill'],
  'lib/domain': ['lib/domain', 'lib/base', 'zod', 'rrule', 'csv-parse/sync', 'libphonenumber-js'].concat([
    'flesch-kincaid',
    'syllable',
  ]),
  'lib/words': ['lib/words', 'lib/domain', 'lib/base', 'use-intl'],
  'lib/figures': ['lib/figures', 'lib/words', 'lib/domain'],
  // Enumerations and the schemas of stored documents have one home, the domain; the tables are made from them.
  'db/schema': ['db/schema', 'lib/domain', 'lib/base', 'drizzle-orm'],
  'db/queries': [
    'db/queries',
    'db/schema',
    'db/client.ts',
    'db/insert-many.ts',
    'db/prepared.ts',
    'lib/domain',
    'lib/base',
    'drizzle-orm',
    'zod',
  ],
  db: ['db', 'lib/base', 'drizzle-orm', 'drizzle-kit', 'pg', 'postgres', '@electric-sql/pglite', 'pg-boss', 'node:'],
  'lib/usecases': ['lib/usecases', 'lib/domain', 'lib/base', 'db/client.ts', 'db/errors.ts', 'db/queries', 'zod'],
  'lib/adapters': ['lib/adapters', 'lib/figures', 'lib/domain', 'lib/words', 'lib/base', 'emails', 'node:'].concat(
    ['nodemailer', 'mailparser', '@react-email/components', 'ical-generator', 'timezones-ical-library'],
    ['@node-rs/argon2', 'highs', 'pdfkit', 'fontkit', 'zod', 'react'],
  ),
  'lib/jobs': ['lib/jobs', 'lib/usecases', 'lib/base', 'db', 'pg-boss', 'drizzle-orm'],
  // A process entry wires everything together, as the app's `_server` does.
  'lib/jobs/worker-main.ts': ['lib/jobs', 'lib/usecases', 'lib/base', 'lib/adapters', 'db'],
  // `assess` runs the pure engine by itself.
  'lib/scripts': [
    'lib/scripts',
    'lib/usecases',
    'lib/domain',
    'lib/jobs',
    'lib/adapters',
    'lib/base',
    'db',
    'seed',
    'node:',
    'tsx',
    'zod',
  ],
  emails: ['emails', 'lib/domain', 'lib/words', 'lib/base', '@react-email/components', 'react'],
  // zod reads addresses and forms; node:crypto hashes an upload as it streams in; d3-scale lays out the plots.
  app: [
    'app',
    'lib/usecases',
    'lib/domain',
    'lib/words',
    'lib/figures',
    'lib/base',
    'next',
    'react',
    '@fontsource-variable',
    'zod',
    'd3-scale',
    'node:crypto',
  ],
  'app/_server': ['app', 'lib', 'db', 'next', 'react', 'next-auth', 'node:'],
  'instrumentation.ts': ['app/_server'],
  'next.config.ts': ['next'],
  // Both know how much of a form the framework reads.
  'proxy.ts': ['next', 'node:crypto', 'app/_ui/form-size.ts'],
}

const FORBIDDEN: Record<string, readonly string[]> = {
  // Tables are the database layer's own: everyone else asks a query.
  'app/_server': ['db/schema'],
  'lib/jobs': ['db/schema'],
}

const TOP_LEVEL = ['app', 'db', 'emails', 'lib', 'seed', 'tests'].concat(
  ['README.md', 'DEVELOPERS.md', 'LICENSE', 'package.json', 'package-lock.json', 'tsconfig.json', 'biome.json'],
  ['next.config.ts', 'instrumentation.ts', 'proxy.ts', '.env.example', '.gitignore', '.npmrc', '.ci'],
)

/** Files of the project: tracked, or new and not ignored. */
const FILES = execFileSync('git', ['ls-files', '--cached', '--others', '--exclude-standard'], { encoding: 'utf8' })
  .split('\n')
  .filter((path) => path && existsSync(path))
const SOURCES = FILES.filter((path) => /\.(ts|tsx|mjs)$/.test(path))

function longestEntryFor(path: string): string | undefined {
  return Object.keys(MAY_IMPORT)
    .filter((entry) => isUnder(path, entry))
    .sort((a, b) => b.length - a.length)[0]
}

/** `lib/domain`, `db`, `app`: the folders of the map. */
function layerOf(path: string): string {
  return path
    .split('/')
    .slice(0, path.startsWith('lib/') ? 2 : 1)
    .join('/')
}

function isUnder(path: string, entry: string): boolean {
  return path === entry || path.startsWith(entry.endsWith(':') ? entry : `${entry}/`)
}

const STATEMENT = /^[ \t]*(?:import|export)\s+(?:[\w\s{},*$]+?\s+from\s+)?['"]([^'"\n]+)['"]/gm
const EXPRESSION = /\bimport\(\s*(?:\/\*.*?\*\/\s*)?['"`]([^'"`\n]+)['"`]/g

/** What a file imports: our own files by their path, packages by their name. */
function importsOf(path: string): string[] {
  return specifiersOf(path).map((specifier) =>
    specifier.startsWith('.') ? join(dirname(path), specifier) : specifier.replace(/^#/, ''),
  )
}

function relativesOf(path: string): string[] {
  return specifiersOf(path).flatMap((specifier) => (specifier.startsWith('.') ? [join(dirname(path), specifier)] : []))
}

function specifiersOf(path: string): string[] {
  const source = readFileSync(path, 'utf8')
  return [...source.matchAll(STATEMENT), ...source.matchAll(EXPRESSION)].map(([, specifier = '']) => specifier)
}

describe('imports', () => {
  const governed = SOURCES.filter((path) => !/^(tests|seed)\//.test(path))

  test('every file lies in a folder whose imports are settled', () => {
    expect(governed.filter((path) => longestEntryFor(path) === undefined)).toEqual([])
  })

  test.each(Object.keys(MAY_IMPORT))('%s imports only what it may', (entry) => {
    const allowed = MAY_IMPORT[entry] ?? []
    const forbidden = FORBIDDEN[entry] ?? []
    const strays = governed
      .filter((path) => longestEntryFor(path) === entry)
      .flatMap((path) =>
        importsOf(path)
          .filter(
            (target) => !allowed.some((one) => isUnder(target, one)) || forbidden.some((one) => isUnder(target, one)),
          )
          .map((target) => `${path} → ${target}`),
      )
    expect(strays).toEqual([])
  })

  test('the scanner sees every way to import', () => {
    const scanned = importsOf('tests/support/db.ts').concat(importsOf('db/client.ts'), importsOf('instrumentation.ts'))
    expect(scanned).toEqual(
      expect.arrayContaining([
        'vitest',
        'drizzle-orm',
        'node:fs',
        '@electric-sql/pglite',
        'app/_server/start-process.ts',
      ]),
    )
  })

  test('a relative path stays within its layer; across layers the path says which one', () => {
    const outward = governed.flatMap((path) =>
      relativesOf(path)
        .filter((target) => layerOf(target) !== layerOf(path))
        .map((target) => `${path} → ${target}`),
    )
    expect(outward).toEqual([])
  })

  test('Temporal has one door', () => {
    const around = SOURCES.filter((path) => path !== 'lib/base/time.ts').filter((path) =>
      importsOf(path).includes('temporal-polyfill'),
    )
    expect(around).toEqual([])
  })
})

// Safety guarantee: the same facts give the same decision, whenever and wherever they are looked at.
test.each(SOURCES.filter((path) => path.startsWith('lib/domain/')))(
  '%s reads no clock, randomness or environment and waits for nothing',
  (path) => {
    const code = readFileSync(path, 'utf8').replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, '')
    const impure =
      /Date\.now|new Date\(\)|Temporal\.Now|Math\.random|randomUUID|\bcrypto\b|process\.|\bawait\b|\bfetch\(/
    expect(code).not.toMatch(impure)
  },
)

test('the environment is read in one place', () => {
  const readers = SOURCES.filter((path) => /^(app|db|emails|lib)\//.test(path)).filter((path) =>
    readFileSync(path, 'utf8').includes('process.env'),
  )
  // Scripts hand the environment on to the programs they start; next-auth takes its address from it.
  expect(readers.filter((path) => !path.startsWith('lib/scripts/'))).toEqual([
    'app/_server/auth.ts',
    'lib/adapters/settings.ts',
  ])
})

test('file names are kebab-case', () => {
  const segment = /^(\.?[a-z0-9]+([.-][a-z0-9]+)*|_[a-z]+|\([a-z-]+\)|\[(\.\.\.)?[a-z-]+\])$/
  // Published files keep the names their publisher gave them; migrations are named by their tool.
  const legal = /^(README\.md|DEVELOPERS\.md|LICENSE|(db\/migrations|tests\/reference\/data)\/.*)$/
  expect(FILES.filter((path) => !legal.test(path) && !path.split('/').every((part) => segment.test(part)))).toEqual([])
})

test('the top level holds only what belongs there', () => {
  const entries = new Set(FILES.map((path) => path.split('/')[0] ?? ''))
  expect([...entries].filter((entry) => !TOP_LEVEL.includes(entry))).toEqual([])
})

test('an action leads to a part of a page by the one way that shows the page anew', () => {
  const direct = SOURCES.filter((path) => path.startsWith('app/')).filter((path) =>
    /\b(?:permanentR|r)edirect\([^)\n]*#/.test(readFileSync(path, 'utf8')),
  )
  expect(direct).toEqual([])
})
