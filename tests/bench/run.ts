/**
 * `npm run bench` prints every row as a table. `-- --only ID` limits it to a bench or a row, `--json` prints rows as a
 * JSON array, and any other `--name number` is handed to the bench as an option.
 */
import { parseArgs } from 'node:util'
import type { BenchOptions, BenchRow } from './bench-row.ts'

// Measured as it runs for people: React's development build takes several times as long. Before anything is imported.
Object.assign(process.env, { NODE_ENV: 'production' })

type Bench = { rows(options: BenchOptions): Promise<BenchRow[]> }

const BENCHES: Record<string, () => Promise<Bench>> = {
  screening: () => import('./screening.ts'),
  openers: () => import('./openers.ts'),
  'exam-order': () => import('./exam-order.ts'),
  'slot-search': () => import('./slot-search.ts'),
  'slot-search-request': () => import('./slot-search-request.ts'),
  booking: () => import('./booking.ts'),
  're-placement': () => import('./re-placement.ts'),
  outbox: () => import('./outbox.ts'),
  packet: () => import('./packet.ts'),
  'home-check-weight': () => import('./home-check-weight.ts'),
  board: () => import('./board.ts'),
  learning: () => import('./learning.ts'),
}

const { values } = parseArgs({ strict: false, options: { only: { type: 'string' }, json: { type: 'boolean' } } })
const only = typeof values.only === 'string' ? values.only : undefined
const options = numbersOf(process.argv.slice(2))

const chosen = Object.keys(BENCHES).filter(
  (name) => !only || only === name || (!BENCHES[only] && only.startsWith(`${name}-`)),
)
if (chosen.length === 0) {
  console.error(`There is no bench "${only}". There are: ${Object.keys(BENCHES).join(', ')}`)
  process.exit(1)
}
const rows: BenchRow[] = []
for (const name of chosen) rows.push(...((await (await BENCHES[name]?.())?.rows(options)) ?? []))

const wanted = only && !BENCHES[only] ? rows.filter(({ id }) => id === only) : rows
if (values.json) console.log(JSON.stringify(wanted, null, 2))
else console.table(Object.fromEntries(wanted.map(({ id, ...figures }) => [id, rounded(figures)])))

function numbersOf(args: readonly string[]): BenchOptions {
  const pairs = args.flatMap((word, at) =>
    word.startsWith('--') ? [[word.slice(2), Number(args[at + 1])] as const] : [],
  )
  return Object.fromEntries(pairs.filter(([, value]) => Number.isFinite(value)))
}

function rounded(figures: Omit<BenchRow, 'id'>): Record<string, string | number> {
  const short = (value: string | number) => (typeof value === 'number' ? Number(value.toPrecision(3)) : value)
  return Object.fromEntries(Object.entries(figures).map(([name, value]) => [name, short(value)]))
}
