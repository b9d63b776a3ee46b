/**
 * The journeys, in a real browser, against the built app started as `npm run demo` starts it: an embedded database in a
 * folder of its own, seeded, on a free port. Once at a desk and once on a phone.
 */
import { execFileSync } from 'node:child_process'
import { existsSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { defineConfig, devices } from '@playwright/test'

// This file is read by every worker too: the first reading settles the port and the folder for all.
process.env.E2E_PORT ??= freePort()
process.env.E2E_DATA_DIR ??= join(tmpdir(), `farstep-e2e-${process.env.E2E_PORT}`)
const { E2E_PORT: port, E2E_DATA_DIR: dataDir } = process.env
const baseURL = `http://localhost:${port}`

const chromium = process.env.CHROMIUM_PATH ?? '/usr/bin/chromium'
const quiet = [
  'disable-background-networking',
  'disable-component-update',
  'disable-sync',
  'disable-quic',
  'no-first-run',
]
const flags = [...quiet, 'disable-gpu', ...(process.getuid?.() === 0 ? ['no-sandbox'] : [])].map((name) => `--${name}`)

export default defineConfig({
  testDir: 'e2e',
  outputDir: '../test-results/e2e',
  // Only so that nothing hangs for ever; a machine that others load needs three times as long as a quiet one.
  timeout: 180_000,
  expect: { timeout: 10_000 },
  workers: 2,
  forbidOnly: Boolean(process.env.CI),
  globalTeardown: './support/remove-e2e-data.ts',
  use: {
    baseURL,
    locale: 'en-US',
    timezoneId: 'America/New_York',
    trace: 'retain-on-failure',
    screenshot: 'only-on-failure',
    launchOptions: { args: flags, ...(existsSync(chromium) && { executablePath: chromium }) },
  },
  projects: [
    // What a patient does is tried once, on a phone; what staff do, once, at a desk.
    {
      name: 'desktop',
      grepInvert: /@phone/,
      use: { ...devices['Desktop Chrome'], viewport: { width: 1280, height: 800 } },
    },
    { name: 'phone', grep: /@phone/, use: { ...devices['Pixel 7'], viewport: { width: 360, height: 740 } } },
  ],
  webServer: {
    command: 'npm run --silent demo',
    cwd: join(import.meta.dirname, '..'),
    url: `${baseURL}/sign-in`,
    env: { PORT: port, DATA_DIR: dataDir, BASE_URL: baseURL, DATABASE_URL: '', SMTP_URL: '' },
    stdout: 'pipe',
    // A cold build and the seeding, on two busy cores.
    timeout: 300_000,
    gracefulShutdown: { signal: 'SIGTERM', timeout: 10_000 },
  },
})

function freePort(): string {
  const ask =
    "const s = require('node:net').createServer().listen(0, () => { console.log(s.address().port); s.close() })"
  return execFileSync(process.execPath, ['-e', ask], { encoding: 'utf8' }).trim()
}
