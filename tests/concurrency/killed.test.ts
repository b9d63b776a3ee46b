import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, inject, test } from 'vitest'
import { openDatabase } from '#db/client.ts'
import { killed } from '#tests/soak/killed.ts'

// The same with 200 bookings and many more deaths: npm run soak.
const size = { bookings: 40, kills: 3, seed: 5 }

test('killed while it books on a server, a process leaves whole visits or none', { timeout: 120_000 }, async () => {
  const { adminUrl } = inject('postgres')
  const name = `farstep_killed_${process.pid}`
  const admin = await openDatabase({ databaseUrl: adminUrl, dataDir: null })
  await admin.db.execute(`create database ${name}`)
  await admin.close()
  const figures = await killed({ databaseUrl: adminUrl.replace(/[^/]+$/, name), dataDir: null }, size)
  expect(figures).toMatchObject({ booked: 40, torn: 0 })
  expect(figures.afterKills.some((count) => count > 0 && count < 40)).toBe(true)
})

test('killed while it books on the embedded database, a process leaves whole visits or none', {
  timeout: 180_000,
}, async () => {
  const dataDir = mkdtempSync(join(tmpdir(), 'farstep-killed-'))
  try {
    const figures = await killed({ databaseUrl: null, dataDir }, size)
    expect(figures).toMatchObject({ booked: 40, torn: 0 })
    expect(figures.afterKills.some((count) => count > 0 && count < 40)).toBe(true)
  } finally {
    rmSync(dataDir, { recursive: true, force: true })
  }
})
