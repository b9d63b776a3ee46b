import { existsSync, mkdtempSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, expect, test } from 'vitest'
import { openDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { clinics, referrals } from '#db/schema/index.ts'
import { readSettings } from '#lib/adapters/settings.ts'
import { Temporal } from '#lib/base/time.ts'
import { DEFAULT_POLICY } from '#lib/domain/policy/clinic-policy.ts'
import { prepareDemoFolder } from '#lib/scripts/demo-data.ts'
import { DEMO_CASES } from '#seed/demo-cases.ts'

const folders: string[] = []
afterEach(() => {
  for (const folder of folders.splice(0)) rmSync(folder, { recursive: true })
})

function newSettings() {
  const dataDir = mkdtempSync(join(tmpdir(), 'farstep-demo-'))
  folders.push(dataDir)
  const read = readSettings({ NODE_ENV: 'production', DEMO: '1', DATA_DIR: dataDir })
  if (!read.ok) throw new Error('the settings of a demo are refused')
  return read.value
}

test('a demo clinic is put anew where the start before stopped half way, and left alone where it is whole', {
  timeout: 180_000,
}, async () => {
  const settings = newSettings()
  // As a start leaves it that is stopped right after the clinic was written.
  const half = await openDatabase(settings)
  await migrate(half)
  await half.db.insert(clinics).values({
    id: 'cl_half',
    slug: 'half',
    name: 'Half',
    timeZone: 'UTC',
    phone: '+15035550100',
    emergencyNumber: '911',
    policy: DEFAULT_POLICY,
    createdAt: Temporal.Instant.from('2026-03-02T00:00Z'),
  })
  await half.close()
  writeFileSync(join(settings.dataDir, 'demo-is-half-there'), '')

  await prepareDemoFolder(settings)
  const whole = await openDatabase(settings)
  // Beside those of the half-year that lies behind the demo.
  const ids = (await whole.db.select({ id: referrals.id }).from(referrals)).map(({ id }) => id)
  expect(ids.filter((id) => !id.startsWith('ref_past_'))).toHaveLength(DEMO_CASES.length)
  await whole.close()
  expect(existsSync(join(settings.dataDir, 'demo-is-half-there'))).toBe(false)

  // One that is whole is not opened again, and so not emptied.
  const stamp = statSync(join(settings.dataDir, 'demo-is-there')).mtimeMs
  await prepareDemoFolder(settings)
  expect(statSync(join(settings.dataDir, 'demo-is-there')).mtimeMs).toBe(stamp)
})
