/**
 * An app of one's own: the demo clinic once more, on its own port and folder, with a clock that the journey puts forward.
 * For journeys in which time goes by: everybody else's would be thrown off by it, and waiting is no test.
 */
import { execFileSync, spawn } from 'node:child_process'
import { mkdtempSync, openSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect } from '@playwright/test'
import { test as watched } from './watched.ts'

export type Clock = {
  /** Puts the app's clock forward, counted from the real one. */
  putForward(by: { minutes?: number; hours?: number }): void
}

/** As `watched`, but every page, mail and clock is of this app. One for all journeys of a worker. */
export const test = watched.extend<object, { clock: Clock }>({
  clock: [
    // biome-ignore lint/correctness/noEmptyPattern: the framework reads the fixtures from this pattern
    async ({}, use) => {
      const folder = mkdtempSync(join(tmpdir(), 'farstep-own-app-'))
      const clockFile = join(folder, 'clock')
      const port = freePort()
      // The pages, the mail tray and the content watch of this worker look where these lead.
      process.env.E2E_PORT = port
      process.env.E2E_DATA_DIR = join(folder, 'data')
      const baseUrl = `http://localhost:${port}`
      const log = join(folder, 'log')
      const output = openSync(log, 'w')
      const app = spawn(process.execPath, ['lib/scripts/run.mjs', 'demo'], {
        cwd: join(import.meta.dirname, '../..'),
        env: {
          ...process.env,
          PORT: port,
          BASE_URL: baseUrl,
          DATA_DIR: process.env.E2E_DATA_DIR,
          DATABASE_URL: '',
          SMTP_URL: '',
          CLOCK_SHIFT_FILE: clockFile,
          NODE_OPTIONS: `--import=${join(import.meta.dirname, '../support/shifted-clock.mjs')}`,
        },
        stdio: ['ignore', output, output],
      })
      const ended = new Promise((resolve) => app.once('exit', resolve))
      const answers = async () => {
        if (app.exitCode !== null) throw new Error(`the app of this journey ended: ${readFileSync(log, 'utf8')}`)
        return fetch(`${baseUrl}/sign-in`).then(
          ({ ok }) => ok,
          () => false,
        )
      }
      await expect.poll(answers, { timeout: 240_000, intervals: [1000] }).toBe(true)
      await use({
        putForward({ minutes = 0, hours = 0 }) {
          writeFileSync(clockFile, String((hours * 60 + minutes) * 60_000))
        },
      })
      app.kill('SIGTERM')
      await ended
      rmSync(folder, { recursive: true, force: true })
    },
    { scope: 'worker', auto: true, timeout: 300_000 },
  ],
})

function freePort(): string {
  const ask =
    "const s = require('node:net').createServer().listen(0, () => { process.stdout.write(String(s.address().port)); s.close() })"
  return execFileSync(process.execPath, ['-e', ask], { encoding: 'utf8' }).trim()
}
