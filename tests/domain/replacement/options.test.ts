/** The starts that a visit of a lost session could have, held against every fifth minute of the calendar asked one by one. */
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { isBookable } from '#lib/domain/calendar/is-bookable.ts'
import { prepareSupply, type Supply } from '#lib/domain/calendar/supply.ts'
import { DAY_MS, MINUTE_MS, zoneClock } from '#lib/domain/calendar/zone-clock.ts'
import { openingAt, withoutLost } from '#lib/domain/replacement/lost-time.ts'
import { moveCost, optionsOf, type Was } from '#lib/domain/replacement/options.ts'
import { aSession } from '#tests/support/sessions.ts'

const at = (iso: string) => Temporal.Instant.from(iso).epochMilliseconds
const FROM = at('2026-01-05T00:00:00Z')
const TO = at('2026-01-26T00:00:00Z')

const supply: Supply = {
  sessions: [
    aSession({ rule: 'FREQ=WEEKLY;BYDAY=TU', mode: 'either', siteId: 'sit_1', bufferAfterMin: 5 }),
    aSession({
      id: 'ses_2',
      owner: { kind: 'clinician', id: 'cli_2' },
      rule: 'FREQ=WEEKLY;BYDAY=WE',
      startsOn: '2026-01-07',
      mode: 'in_person',
      siteId: 'sit_1',
    }),
    aSession({
      id: 'ses_3',
      owner: { kind: 'clinician', id: 'cli_2' },
      rule: 'FREQ=WEEKLY;BYDAY=TH',
      startsOn: '2026-01-08',
      mode: 'in_person',
      siteId: 'sit_2',
      roomId: 'roo_3',
    }),
    aSession({
      id: 'ses_4',
      owner: { kind: 'interpreter', id: 'int_1' },
      rule: 'FREQ=DAILY',
      startsOn: '2026-01-05',
      mode: 'either',
      durationMin: 150,
    }),
    aSession({
      id: 'ses_5',
      owner: { kind: 'interpreter', id: 'int_2' },
      rule: 'FREQ=WEEKLY;BYDAY=WE',
      startsOn: '2026-01-07',
      mode: 'either',
    }),
  ],
  holidays: [],
  clinicians: [
    { id: 'cli_1', languages: ['en'] },
    { id: 'cli_2', languages: ['en'] },
  ],
  interpreters: [
    { id: 'int_1', languages: ['es'] },
    { id: 'int_2', languages: ['es-MX'] },
  ],
  licences: [
    { clinicianId: 'cli_1', state: 'NY', validFrom: '2020-01-01', validTo: '2026-01-15' },
    { clinicianId: 'cli_2', state: 'NY', validFrom: '2020-01-01', validTo: null },
  ],
  sites: [
    { id: 'sit_1', state: 'NY' },
    { id: 'sit_2', state: 'NY' },
  ],
  rooms: [
    { id: 'roo_1', siteId: 'sit_1' },
    { id: 'roo_2', siteId: 'sit_1' },
    { id: 'roo_3', siteId: 'sit_2' },
  ],
  busy: [
    { resource: 'room', id: 'roo_1', start: at('2026-01-14T14:30:00Z'), end: at('2026-01-14T15:00:00Z') },
    { resource: 'clinician', id: 'cli_2', start: at('2026-01-15T14:00:00Z'), end: at('2026-01-15T15:30:00Z') },
    { resource: 'interpreter', id: 'int_2', start: at('2026-01-21T15:00:00Z'), end: at('2026-01-21T15:30:00Z') },
  ],
}
const prepared = prepareSupply(supply, FROM, TO)
const demand = {
  minutes: 30,
  mode: 'in_person' as const,
  now: FROM,
  notBefore: FROM,
  seeBy: null,
  horizonDays: 21,
  patientId: 'pat_1',
  patientTimeZone: 'America/New_York',
  patientWindows: [
    { weekday: 2, from: '09:00', to: '11:00' },
    { weekday: 3, from: '09:30', to: '12:00' },
    { weekday: 4, from: '08:00', to: '18:00' },
  ],
  helperWindows: [],
  helper: null,
  interpreterLanguage: 'es',
  placeState: 'NY',
  siteIds: [],
  clinician: null,
  dayPart: null,
  anyNotice: false,
  keptBy: null,
  releasable: [],
  limit: 1,
  perDay: null,
}
const was: Was = { clinicianId: 'cli_1', start: at('2026-01-13T14:00:00Z'), siteId: 'sit_1' }

test('every start that can be booked is an option once for each room and interpreter that is free, and no other', () => {
  const expected: string[] = []
  for (const { id } of supply.sessions) {
    for (let start = FROM; start < TO; start += 5 * MINUTE_MS) {
      for (const roomId of ['roo_1', 'roo_2', 'roo_3']) {
        for (const interpreterId of ['int_1', 'int_2']) {
          const asked = { sessionId: id, start, roomId, interpreterId }
          const found = isBookable(prepared, demand, asked)
          if (found.ok && found.value.roomId === roomId && found.value.interpreterId === interpreterId)
            expected.push(`${id} ${start} ${roomId} ${interpreterId}`)
        }
      }
    }
  }
  const options = optionsOf(prepared, demand, was, null, 1000)
  const found = options.map(({ start: s }) => `${s.sessionId} ${s.start} ${s.roomId} ${s.interpreterId}`)
  expect(found.toSorted()).toEqual(expected.toSorted())
  expect(expected.length).toBeGreaterThan(20)
})

test('beside few other visits the nearest days are enough, and nothing cheaper was left out', () => {
  const all = optionsOf(prepared, demand, was, null, 1000)
  const few = optionsOf(prepared, demand, was, null, 0)
  expect(few.length).toBeLessThanOrEqual(all.length)
  expect(few[0]).toEqual(all[0])
})

describe('what a move costs', () => {
  const clock = zoneClock('America/New_York', FROM - 90 * DAY_MS, TO + 90 * DAY_MS)
  const start = (iso: string, change: object = {}) => ({
    clinicianId: 'cli_1',
    siteId: 'sit_1',
    start: at(iso),
    ...change,
  })

  test('days and time of day are counted on the wall of the patient, also over a change of the clocks', () => {
    const before: Was = { ...was, start: at('2026-03-07T14:00:00Z') }
    expect(moveCost(start('2026-03-08T13:00:00Z'), before, null, clock)).toEqual({
      missed: 0,
      unplaced: 0,
      otherClinician: 0,
      days: 1,
      minutes: 0,
    })
  })

  test('another clinician, another site and the see-by time are each counted', () => {
    const moved = start('2026-01-12T14:30:00Z', { clinicianId: 'cli_2', siteId: 'sit_2' })
    expect(moveCost(moved, was, at('2026-01-12T14:29:00Z'), clock)).toEqual({
      missed: 1,
      unplaced: 0,
      otherClinician: 1,
      days: 1,
      minutes: 30 + 24 * 60,
    })
    expect(moveCost(moved, was, at('2026-01-12T14:30:00Z'), clock).missed).toBe(0)
  })
})

describe('the time that is lost', () => {
  const session = aSession({
    rule: 'FREQ=WEEKLY;BYDAY=TU',
    exceptions: [{ kind: 'moved', onDate: '2026-01-13', toDate: '2026-01-14', opensAt: '13:00', durationMin: 60 }],
  })

  test('an opening that was moved is named by the date it had in the rule', () => {
    expect(openingAt(session, Temporal.Instant.from('2026-01-14T18:30:00Z'))).toEqual({
      kind: 'opening',
      onDate: '2026-01-13',
    })
    expect(openingAt(session, Temporal.Instant.from('2026-01-13T15:00:00Z'))).toBeNull()
  })

  test('closing it takes the place of whatever was different about that date', () => {
    expect(withoutLost(session, { kind: 'opening', onDate: '2026-01-13' })?.exceptions).toEqual([
      { kind: 'closed', onDate: '2026-01-13' },
    ])
  })

  test('from a date on the session ends the day before, and nothing is left from its first date on', () => {
    expect(withoutLost(session, { kind: 'from', fromDate: '2026-02-01' })?.validTo).toBe('2026-01-31')
    expect(withoutLost(session, { kind: 'from', fromDate: '2026-01-06' })).toBeNull()
    const ending = { ...session, validTo: '2026-01-20' }
    expect(withoutLost(ending, { kind: 'from', fromDate: '2026-02-01' })).toBe(ending)
  })
})
