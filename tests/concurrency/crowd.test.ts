import { afterAll, beforeAll, expect, inject, test } from 'vitest'
import { type Database, openDatabase } from '#db/client.ts'
import { crowd } from '#tests/soak/crowd.ts'

let admin: Database
let url: string

beforeAll(async () => {
  const { adminUrl, template } = inject('postgres')
  const name = `farstep_crowd_${process.pid}`
  admin = await openDatabase({ databaseUrl: adminUrl, dataDir: null })
  await admin.db.execute(`create database ${name} template ${template}`)
  url = adminUrl.replace(/[^/]+$/, name)
})
afterAll(async () => {
  await admin?.close()
})

// The same with 20 processes, 500 tries each and 300 starts: npm run soak.
test('a crowd of processes fills every start once, each loser is told, and no hold outlives its time', async () => {
  const figures = await crowd(url, { processes: 4, triesEach: 25, starts: 20, clinicians: 4 })
  expect(figures).toMatchObject({ won: 20, lost: 80, untold: 0, live: 20, overlaps: 0, leaked: 0 })
  expect(figures.lapsed).toBeGreaterThan(0)
  expect(figures.offered).toBeGreaterThan(0)
}, 90_000)
