/**
 * `npm run verify`: everything that must hold before a change is handed on, in one command, on a machine that has Node,
 * npm and a clone. Goes on after a failure, so that one run tells everything, and ends with a plain summary.
 */
import { spawnSync } from 'node:child_process'
import { existsSync, globSync, mkdirSync, readFileSync, rmSync } from 'node:fs'

type Counts = { passed: number; failed: number; skipped: number; failures: readonly string[] }
type Step = { name: string; command: readonly string[]; env?: Record<string, string>; count?: () => Counts }
type VitestResult = { status: string; fullName: string; failureMessages: string[] }
type PlaywrightSuite = {
  suites?: PlaywrightSuite[]
  specs?: {
    ok: boolean
    file: string
    line: number
    title: string
    tests: { results: { errors: { message?: string }[] }[] }[]
  }[]
}
type Outcome = Counts & { name: string; seconds: number; isGood: boolean }

const RESULTS = 'test-results'
const STEP_TIMEOUT_MS = 35 * 60_000

const VITEST = ['vitest', 'run', '--config', 'tests/vitest.config.ts', '--reporter=default', '--reporter=json']

const STEPS: readonly Step[] = [
  { name: 'lint', command: ['biome', 'lint', '.'] },
  { name: 'dead code', command: ['knip', '--config', 'tests/knip.json'] },
  { name: 'format', command: ['biome', 'check', '--linter-enabled=false', '.'] },
  { name: 'types', command: ['npm', 'run', '--silent', 'typecheck'] },
  {
    name: 'architecture rules',
    command: [...VITEST, `--outputFile.json=${RESULTS}/rules.json`, '--project=rules'],
    count: () => countVitest(`${RESULTS}/rules.json`),
  },
  {
    name: 'unit and integration, both back ends',
    command: [...VITEST, `--outputFile.json=${RESULTS}/tests.json`, '--coverage', '--project=!rules'],
    count: () => countVitest(`${RESULTS}/tests.json`),
  },
  { name: 'build', command: ['npm', 'run', '--silent', 'build'] },
  {
    name: 'end to end, in a browser',
    command: ['playwright', 'test', '--config', 'tests/playwright.config.ts', '--reporter=list,json'],
    env: { PLAYWRIGHT_JSON_OUTPUT_NAME: `${RESULTS}/e2e.json`, PLAYWRIGHT_JSON_OUTPUT_FILE: `${RESULTS}/e2e.json` },
    count: () => countPlaywright(`${RESULTS}/e2e.json`),
  },
]

installSystemPackages()
rmSync(RESULTS, { recursive: true, force: true })
mkdirSync(RESULTS)
const outcomes = STEPS.map(run)

// Again at the very end: a long log is read from there, and what a step printed lies thousands of lines above.
for (const { name, failures } of outcomes) {
  for (const failure of failures) console.log(`\nFAILED in ${name}: ${failure}`)
}

const width = Math.max(...outcomes.map(({ name }) => name.length))
console.log(`\n${'step'.padEnd(width)}  result  seconds  passed  failed  skipped`)
for (const { name, isGood, seconds, passed, failed, skipped } of outcomes) {
  const cells = [seconds.toFixed(1).padStart(7), ...[passed, failed, skipped].map((n) => String(n).padStart(6))]
  console.log([name.padEnd(width), isGood ? 'ok    ' : 'FAILED', ...cells].join('  '))
}
const total = (pick: (outcome: Outcome) => number) => outcomes.reduce((sum, outcome) => sum + pick(outcome), 0)
// A step that fails without a failing test, such as a lint error or a crash, counts as one.
const failed = total((outcome) => Math.max(outcome.failed, outcome.isGood ? 0 : 1))
console.log(`\n${total(({ passed }) => passed)} passed, ${failed} failed`)
process.exit(failed === 0 ? 0 : 1)

function run({ name, command, env, count }: Step): Outcome {
  console.log(`\n── ${name}`)
  const start = performance.now()
  const [program = '', ...args] = command
  const { status } = spawnSync(program, args, {
    stdio: 'inherit',
    timeout: STEP_TIMEOUT_MS,
    env: { ...process.env, NEXT_TELEMETRY_DISABLED: '1', ...env },
  })
  const counts = count?.() ?? { passed: 0, failed: 0, skipped: 0, failures: [] }
  // A test step whose report is missing or empty proved nothing.
  const isGood = status === 0 && counts.failed === 0 && (count === undefined || counts.passed > 0)
  return { name, seconds: (performance.now() - start) / 1000, isGood, ...counts }
}

function countVitest(path: string): Counts {
  const report = readReport(path) as {
    numPassedTests?: number
    numFailedTests?: number
    numPendingTests?: number
    testResults?: { name: string; message: string; assertionResults: VitestResult[] }[]
  }
  const { numPassedTests: passed = 0, numFailedTests: failed = 0, numPendingTests: skipped = 0 } = report
  const failures = (report.testResults ?? []).flatMap(({ name, message, assertionResults }) => [
    ...(message ? [`${name}: ${firstLines(message)}`] : []),
    ...assertionResults
      .filter(({ status }) => status === 'failed')
      .map(({ fullName, failureMessages }) => `${name}: ${fullName}\n${firstLines(failureMessages.join('\n'))}`),
  ])
  return { passed, failed, skipped, failures }
}

function countPlaywright(path: string): Counts {
  const report = readReport(path) as {
    stats?: { expected: number; unexpected: number; flaky: number; skipped: number }
    suites?: PlaywrightSuite[]
  }
  // Flaky is not good enough: it passed only when tried again.
  return {
    passed: report.stats?.expected ?? 0,
    failed: (report.stats?.unexpected ?? 0) + (report.stats?.flaky ?? 0),
    skipped: report.stats?.skipped ?? 0,
    failures: (report.suites ?? []).flatMap(playwrightFailures),
  }
}

function playwrightFailures({ suites = [], specs = [] }: PlaywrightSuite): string[] {
  return [
    ...specs
      .filter(({ ok }) => !ok)
      .map(({ file, line, title, tests }) => {
        const errors = tests.flatMap(({ results }) => results.flatMap((result) => result.errors))
        return `${file}:${line}: ${title}\n${firstLines(errors.map(({ message }) => message).join('\n'))}`
      }),
    ...suites.flatMap(playwrightFailures),
  ]
}

function firstLines(text: string): string {
  return text.split('\n').slice(0, 12).join('\n')
}

function readReport(path: string): unknown {
  return existsSync(path) ? JSON.parse(readFileSync(path, 'utf8')) : {}
}

/** A browser and a database server cannot come from the package registry. Where we may, the system installs them. */
function installSystemPackages(): void {
  const missing = [
    ...(existsSync(process.env.CHROMIUM_PATH ?? '/usr/bin/chromium') ? [] : ['chromium']),
    ...(globSync('/usr/lib/postgresql/*/bin/initdb').length > 0 || isOnPath('initdb') ? [] : ['postgresql']),
  ]
  if (missing.length === 0) return
  const asRoot = process.getuid?.() === 0 ? [] : ['sudo', '-n']
  const canInstall = isOnPath('apt-get') && (asRoot.length === 0 || spawnSync('sudo', ['-n', 'true']).status === 0)
  const install = ['apt-get', 'install', '-y', '--no-install-recommends', ...missing]
  if (canInstall) {
    console.log(`Installing ${missing.join(' and ')} …`)
    for (const [program = '', ...args] of [
      [...asRoot, 'apt-get', 'update', '-q'],
      [...asRoot, ...install],
    ]) {
      spawnSync(program, args, { stdio: 'inherit', env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } })
    }
    return
  }
  console.error(`Missing: ${missing.join(' and ')}. On Debian or Ubuntu: sudo ${install.join(' ')}`)
  console.error('Elsewhere: put `initdb` and `postgres` on the PATH, and name a Chromium in CHROMIUM_PATH.')
}

function isOnPath(program: string): boolean {
  return (process.env.PATH ?? '').split(':').some((folder) => existsSync(`${folder}/${program}`))
}
