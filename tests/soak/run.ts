/**
 * `npm run soak`: the faults that take too long for the ordinary suite. It prints what happened and ends with 1 if a
 * promise was broken. `-- --only crowd|killed|restarted|outbox` runs one part.
 */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { parseArgs } from 'node:util'
import { openDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { startPostgres } from '#tests/support/postgres-server.ts'
import { crowd } from './crowd.ts'
import { killed } from './killed.ts'
import { outboxKilled, outboxRush } from './outbox.ts'
import { restarted } from './restarted.ts'

type Part = { figures: Record<string, unknown>; isKept: boolean }

const PARTS: Record<string, () => Promise<Part>> = {
  crowd: () =>
    onServer(async (url) => {
      const database = await openDatabase({ databaseUrl: url, dataDir: null })
      await migrate(database)
      await database.close()
      const figures = await crowd(url, { processes: 20, triesEach: 500, starts: 300, clinicians: 30 })
      const { won, lost, untold, live, overlaps, leaked } = figures
      const isKept = won === 300 && live === 300 && won + lost === 10_000 && untold + overlaps + leaked === 0
      return { figures, isKept }
    }),
  'killed-server': () => onServer(async (url) => killedPart({ databaseUrl: url, dataDir: null }, 20)),
  'killed-embedded': async () => {
    const dataDir = mkdtempSync(join(tmpdir(), 'farstep-soak-'))
    try {
      return await killedPart({ databaseUrl: null, dataDir }, 12)
    } finally {
      rmSync(dataDir, { recursive: true, force: true })
    }
  },
  'outbox-killed': () =>
    onServer(async (url) => {
      const figures = await outboxKilled({ databaseUrl: url, dataDir: null }, { messages: 2000, kills: 10, seed: 3 })
      const { lost, repeats, mostOfOne, sent, lines } = figures
      // A message may be unlucky with every kill; most are never touched.
      const isKept = lost === 0 && sent === 2000 && lines === 2000 && mostOfOne <= 11 && repeats <= 10 * 30
      return { figures, isKept }
    }),
  'outbox-rush': () =>
    onServer(async (url) => {
      const figures = await outboxRush({ databaseUrl: url, dataDir: null }, { messages: 10_000, urgent: 200 })
      return { figures, isKept: figures.received === 10_000 && figures.urgentWithin <= 2 * 200 + 10 }
    }),
  restarted: async () => {
    const figures = await restarted({ bookings: 800, lanes: 10, restarts: 4, downMs: 1500 })
    return { figures, isKept: figures.booked === 800 && figures.refused === 0 && figures.slowestMs < 15_000 }
  },
}

const { values } = parseArgs({ options: { only: { type: 'string' } } })
const chosen = Object.entries(PARTS).filter(([name]) => !values.only || name.startsWith(values.only))
let isAllKept = chosen.length > 0
for (const [name, part] of chosen) {
  const before = performance.now()
  const { figures, isKept } = await part()
  isAllKept &&= isKept
  const seconds = Math.round((performance.now() - before) / 1000)
  console.log(`${isKept ? 'kept  ' : 'BROKEN'} ${name} (${seconds} s)`, figures)
}
process.exit(isAllKept ? 0 : 1)

async function killedPart(settings: Parameters<typeof killed>[0], kills: number): Promise<Part> {
  const figures = await killed(settings, { bookings: 200, seed: 3, kills })
  return { figures, isKept: figures.booked === 200 && figures.torn === 0 }
}

async function onServer(part: (url: string) => Promise<Part>): Promise<Part> {
  const server = await startPostgres()
  try {
    const admin = await openDatabase({ databaseUrl: server.urlOf('postgres'), dataDir: null })
    await admin.db.execute('create database soak')
    await admin.close()
    return await part(server.urlOf('soak'))
  } finally {
    await server.stop()
  }
}
