import { parse } from 'csv-parse/sync'
import { beforeEach, expect, test } from 'vitest'
import type { Db } from '#db/client.ts'
import { clinicians, clinicSessions } from '#db/schema/index.ts'
import { csvOf } from '#lib/base/csv.ts'
import { holdStart } from '#lib/usecases/hold-start.ts'
import { readWaits } from '#lib/usecases/read-waits.ts'
import { addReferral, addSmallClinic, CLINIC, contextFor, patientOf } from '#tests/support/clinic.ts'
import { emptyDb } from '#tests/support/db.ts'
import { asking } from '#tests/support/starts.ts'

let db: Db

beforeEach(async () => {
  db = (await emptyDb()).db
  await addSmallClinic(db)
})

async function waits(now?: string) {
  const result = await readWaits(contextFor(db, now === undefined ? {} : { now }))
  if (!result.ok) throw new Error(result.error.code)
  return result.value
}

test('each clinician has a line for each mode, with the days to the third open start', async () => {
  const { lines, minutes, horizonDays } = await waits()
  expect({ minutes, horizonDays }).toEqual({ minutes: 30, horizonDays: 90 })
  // Monday 2 March. Each session has six half hours, so the third is an hour after it opens (worked out by hand).
  expect(lines.map(({ name, mode, third }) => [name, mode, third?.days, third?.startsAt])).toEqual([
    ['Alex Ames', 'video', 1, '2026-03-03T15:00:00Z'],
    ['Alex Ames', 'in_person', 3, '2026-03-05T19:00:00Z'],
    ['Blair Boyd', 'video', 2, '2026-03-04T15:00:00Z'],
    ['Blair Boyd', 'in_person', 4, '2026-03-06T15:00:00Z'],
  ])
})

test('a start that is held for somebody is not counted until the hold runs out', async () => {
  await addReferral(db, { id: 'ref_1' })
  const held = await holdStart(contextFor(db), {
    key: 'the hold',
    referralId: 'ref_1',
    start: asking('2026-03-03T14:00:00Z'),
  })
  expect(held.ok).toBe(true)
  // 09:00 to 09:45 is held: 09:45, 10:15 and 10:45 are the first three.
  expect((await waits()).lines[0]?.third?.startsAt).toBe('2026-03-03T15:45:00Z')
  expect((await waits('2026-03-02T13:20:00Z')).lines[0]?.third?.startsAt).toBe('2026-03-03T15:00:00Z')
})

test('fewer than three open starts is said, and so is a clinician without a session', async () => {
  await db.insert(clinicians).values({
    clinicId: CLINIC,
    id: 'cli_zell',
    name: 'Zoe Zell',
    credentials: 'MD',
    languages: ['en'],
    timeZone: 'America/New_York',
  })
  expect((await waits()).without).toEqual(['Zoe Zell'])
  // One more session, an hour long: two starts.
  await db.update(clinicSessions).set({ validTo: '2026-03-03', durationMin: 60 })
  expect((await waits()).lines[0]).toMatchObject({ name: 'Alex Ames', mode: 'video', third: null })
  await db.update(clinicSessions).set({ validTo: '2026-02-01' })
  const none = await waits()
  expect(none.lines).toEqual([])
  expect(none.without).toEqual(['Alex Ames', 'Blair Boyd', 'Zoe Zell'])
})

test('a patient is told nothing of it', async () => {
  await addReferral(db, { id: 'ref_1' })
  const result = await readWaits(contextFor(db, { actor: patientOf('ref_1') }))
  expect(result).toEqual({ ok: false, error: { code: 'not_allowed' } })
})

test('a name that begins like a formula reaches the spreadsheet as text, and every cell can be read back', () => {
  const rows = [
    ['=HYPERLINK("https://example.org")', '+1', '-2', '@x', '\tTab'],
    ['Ames, Alex', 'says "yes"', 'two\nlines', '', 'é'],
  ]
  const back = parse(csvOf([...rows, [-3, 0.5]]), { relax_column_count: true }) as string[][]
  expect(back).toEqual([rows[0]?.map((cell) => `'${cell}`), rows[1], ['-3', '0.5']])
})
