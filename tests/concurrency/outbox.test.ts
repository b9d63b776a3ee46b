/** Workers that are killed while they send, on both databases. At full size, and with a rush of messages: npm run soak. */
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, inject, test } from 'vitest'
import { openDatabase } from '#db/client.ts'
import { outboxKilled, outboxRush } from '#tests/soak/outbox.ts'

async function serverDatabase(name: string): Promise<{ databaseUrl: string; dataDir: null }> {
  const { adminUrl } = inject('postgres')
  const admin = await openDatabase({ databaseUrl: adminUrl, dataDir: null })
  await admin.db.execute(`create database ${name}`)
  await admin.close()
  return { databaseUrl: adminUrl.replace(/[^/]+$/, name), dataDir: null }
}

async function onDisk<T>(work: (settings: { databaseUrl: null; dataDir: string }) => Promise<T>): Promise<T> {
  const dataDir = mkdtempSync(join(tmpdir(), 'farstep-outbox-'))
  try {
    return await work({ databaseUrl: null, dataDir })
  } finally {
    rmSync(dataDir, { recursive: true, force: true })
  }
}

// At least once: the mail that was taken and not yet written down comes again, under the same Message-ID, and only once.
const one = { messages: 1, kills: 1, seed: 1 }
const TWICE = { lost: 0, repeats: 1, mostOfOne: 2, sent: 1, lines: 1 }

test('killed between the mail server’s yes and the commit, on a server: one repeat, no loss', {
  timeout: 300_000,
}, async () => {
  expect(await outboxKilled(await serverDatabase(`farstep_outbox_one_${process.pid}`), one)).toEqual(TWICE)
})

test('killed between the mail server’s yes and the commit, on the embedded database: one repeat, no loss', {
  timeout: 300_000,
}, async () => {
  expect(await onDisk((settings) => outboxKilled(settings, one))).toEqual(TWICE)
})

test('killed in the midst of many, nothing is lost and no message comes more than twice', {
  timeout: 300_000,
}, async () => {
  const many = { messages: 60, kills: 1, seed: 4 }
  const figures = await outboxKilled(await serverDatabase(`farstep_outbox_many_${process.pid}`), many)
  expect(figures).toMatchObject({ lost: 0, mostOfOne: 2, sent: 60, lines: 60 })
  expect(figures.repeats).toBeGreaterThan(0)
})

test('of many messages due at once the urgent ones, written last, go out first', { timeout: 300_000 }, async () => {
  const settings = await serverDatabase(`farstep_outbox_rush_${process.pid}`)
  const { received, urgentWithin } = await outboxRush(settings, { messages: 400, urgent: 20 })
  expect(received).toBe(400)
  // Two handfuls are in hand at a time, and one of them may hold the ordinary ones.
  expect(urgentWithin).toBeLessThanOrEqual(2 * 20 + 10)
})
