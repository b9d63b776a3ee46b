import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { holidaysOf, readClinicFile } from '#lib/domain/setup/clinic-file.ts'
import { demoClinic } from '#seed/demo-clinic.ts'

type Json = Record<string, unknown>
const sample = () => JSON.parse(readFileSync('seed/samples/clinic.json', 'utf8'))
const faults = (
  change: (file: Json & { staff: Json[]; clinicians: (Json & { sessions: Json[]; licences: Json[] })[] }) => void,
) => {
  const file = sample()
  change(file)
  const read = readClinicFile(file)
  return read.ok ? [] : read.error.map(({ path }) => path)
}

describe('the file of a new clinic', () => {
  test('the sample and the demo clinic are without fault', () => {
    expect(readClinicFile(sample())).toMatchObject({ ok: true })
    expect(readClinicFile(demoClinic(Temporal.Instant.from('2026-11-25T17:00:00Z')))).toMatchObject({ ok: true })
  })

  test('every fault is said at once, each with its path', () => {
    expect(
      faults((file) => {
        const [clinician] = file.clinicians
        if (!clinician?.sessions[0] || !clinician.licences[0]) throw new Error('the sample has a clinician')
        clinician.sessions[0].rule = 'FREQ=WEEKLY;COUNT=3;UNTIL=20260301T000000Z'
        clinician.licences[0].validTo = '2020-01-01'
        file.staff.push({
          id: 'stf_lead',
          email: 'lead@clinic.example.org',
          name: 'Twice',
          role: 'lead',
          passphrase: 'short',
        })
      }),
    ).toEqual(['staff', 'staff', 'clinicians.0.licences.0.validTo', 'session ses_video.rule', 'staff.4.passphrase'])
  })

  test.each([
    [
      'an unknown zone',
      (file: Json) => Object.assign(file.clinic as Json, { timeZone: 'Mars/Olympus' }),
      'clinic.timeZone',
    ],
    ['a word that is no field', (file: Json) => Object.assign(file, { colour: 'red' }), ''],
    [
      'a sign-off by somebody who is no lead',
      (file: Json) => Object.assign(file, { protocolSignedOffBy: 'stf_admin' }),
      'protocolSignedOffBy',
    ],
  ])('%s is refused', (_what, change, path) => {
    expect(faults(change)).toEqual([path])
  })

  test('two sessions of one person at the same time are refused, with both and the date', () => {
    const file = sample()
    const [clinician] = file.clinicians
    clinician.sessions.push({ ...clinician.sessions[0], id: 'ses_twin' })
    const read = readClinicFile(file)
    const { startsOn, id } = clinician.sessions[0]
    expect(read.ok ? [] : read.error).toEqual([
      { path: `session ${id}.opensAt`, message: `is open together with session ses_twin on ${startsOn}` },
      { path: 'session ses_twin.opensAt', message: `is open together with session ${id} on ${startsOn}` },
    ])
  })

  test('nobody signs in as a clinician without being one', () => {
    expect(faults((file) => Object.assign(file.staff[1] ?? {}, { clinicianId: null }))).toEqual(['staff.1.clinicianId'])
  })

  test('the federal holidays are offered for three years', () => {
    const read = readClinicFile(sample())
    if (!read.ok) throw new Error('the sample is without fault')
    const days = holidaysOf(read.value, Temporal.PlainDate.from('2026-06-01')).map(({ onDate }) => onDate)
    // 4 July 2026 is a Saturday, so it is kept on Friday the 3rd (5 U.S.C. 6103(b)).
    expect(days).toContain('2026-07-03')
    expect(days).toHaveLength(33)
  })
})
