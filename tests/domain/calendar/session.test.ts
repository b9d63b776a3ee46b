import { execFileSync } from 'node:child_process'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { checkSession, type SessionFault } from '#lib/domain/calendar/check-session.ts'
import { type ClinicSession, expandSession, type SessionException } from '#lib/domain/calendar/session.ts'

/** Tuesdays 09:00 to 12:00 in New York, from 3 March 2026. */
const tuesdays: ClinicSession = {
  id: 'ses_1',
  owner: { kind: 'clinician', id: 'cli_1' },
  mode: 'video',
  siteId: null,
  roomId: null,
  timeZone: 'America/New_York',
  startsOn: '2026-03-03',
  opensAt: '09:00',
  durationMin: 180,
  rule: 'FREQ=WEEKLY;BYDAY=TU',
  validTo: null,
  grainMin: 15,
  bufferBeforeMin: 0,
  bufferAfterMin: 5,
  noticeMin: 0,
  urgentMin: 0,
  urgentReleaseHours: 0,
  exceptions: [],
}

function wall(session: ClinicSession, from: string, to: string, holidays: readonly string[] = []): string[] {
  return expandSession(session, Temporal.Instant.from(from), Temporal.Instant.from(to), holidays).map(
    ({ start, end }) => {
      const at = (ms: number) => Temporal.Instant.fromEpochMilliseconds(ms).toZonedDateTimeISO(session.timeZone)
      return `${at(start).toString({ smallestUnit: 'minute', timeZoneName: 'never' })} ${(end - start) / 60_000}`
    },
  )
}

describe('a session over time', () => {
  test('stays at nine on the wall when the clocks change', () => {
    expect(wall(tuesdays, '2026-03-01T00:00Z', '2026-03-18T00:00Z')).toEqual([
      '2026-03-03T09:00-05:00 180',
      '2026-03-10T09:00-04:00 180',
      '2026-03-17T09:00-04:00 180',
    ])
  })

  test('lasts its length in elapsed time on the night of a change (RFC 5545 3.3.6)', () => {
    const night = { ...tuesdays, startsOn: '2026-03-08', opensAt: '00:30', rule: null }
    expect(wall(night, '2026-03-07T00:00Z', '2026-03-10T00:00Z')).toEqual(['2026-03-08T00:30-05:00 180'])
  })

  test('is given whole when only a part of it lies in the range', () => {
    expect(wall(tuesdays, '2026-03-03T16:59Z', '2026-03-03T17:10Z')).toEqual(['2026-03-03T09:00-05:00 180'])
    expect(wall(tuesdays, '2026-03-03T17:00Z', '2026-03-03T17:10Z')).toEqual([])
    expect(wall(tuesdays, '2026-03-03T13:00Z', '2026-03-03T14:00Z')).toEqual([])
  })

  test('opens on its last valid date and not after', () => {
    expect(wall({ ...tuesdays, validTo: '2026-03-10' }, '2026-03-01T00:00Z', '2026-04-01T00:00Z')).toHaveLength(2)
    expect(wall({ ...tuesdays, validTo: '2026-03-09' }, '2026-03-01T00:00Z', '2026-04-01T00:00Z')).toHaveLength(1)
  })

  test('closes on a holiday unless that date was changed on purpose', () => {
    const holidays = ['2026-03-10']
    const from = '2026-03-09T00:00Z'
    const to = '2026-03-14T00:00Z'
    expect(wall(tuesdays, from, to, holidays)).toEqual([])
    const moved: SessionException = {
      kind: 'moved',
      onDate: '2026-03-10',
      toDate: '2026-03-12',
      opensAt: '13:00',
      durationMin: 60,
    }
    expect(wall({ ...tuesdays, exceptions: [moved] }, from, to, holidays)).toEqual(['2026-03-12T13:00-04:00 60'])
  })

  test('follows its exceptions, also when a date moves into the range from outside', () => {
    const exceptions: SessionException[] = [
      { kind: 'closed', onDate: '2026-03-10' },
      { kind: 'shortened', onDate: '2026-03-17', opensAt: '10:00', durationMin: 30 },
      { kind: 'moved', onDate: '2026-05-05', toDate: '2026-03-18', opensAt: '08:00', durationMin: 120 },
      { kind: 'moved', onDate: '2026-05-06', toDate: '2026-03-19', opensAt: '08:00', durationMin: 120 },
    ]
    expect(wall({ ...tuesdays, exceptions }, '2026-03-04T00:00Z', '2026-03-20T00:00Z')).toEqual([
      '2026-03-17T10:00-04:00 30',
      '2026-03-18T08:00-04:00 120',
    ])
  })

  test('is the same on a machine in any time zone', () => {
    const script = `
      import { Temporal } from '#lib/base/time.ts'
      import { expandSession } from '#lib/domain/calendar/session.ts'
      const session = ${JSON.stringify({ ...tuesdays, rule: 'FREQ=DAILY;UNTIL=20261130T140000Z' })}
      const openings = expandSession(session, Temporal.Instant.from('2026-03-01T00:00Z'), Temporal.Instant.from('2027-01-01T00:00Z'), [])
      console.log(JSON.stringify([openings.length, openings]))`
    const runs = ['UTC', 'America/New_York', 'Pacific/Chatham'].map((TZ) =>
      execFileSync(process.execPath, ['--input-type=module', '--eval', script], {
        env: { ...process.env, TZ },
        encoding: 'utf8',
      }),
    )
    expect(JSON.parse(runs[0]!)[0]).toBe(273)
    expect(new Set(runs).size).toBe(1)
  })
})

describe('a session that cannot be kept', () => {
  const cases: [string, Partial<ClinicSession>, SessionFault][] = [
    [
      'a rule that never falls on a date',
      { rule: 'FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30' },
      { field: 'rule', code: 'never_occurs' },
    ],
    [
      'COUNT together with UNTIL',
      { rule: 'FREQ=WEEKLY;COUNT=3;UNTIL=20260601T000000Z' },
      { field: 'rule', code: 'count_with_until' },
    ],
    ['UNTIL without a zone', { rule: 'FREQ=WEEKLY;UNTIL=20260601T000000' }, { field: 'rule', code: 'until_not_utc' }],
    ['UNTIL as a date alone', { rule: 'FREQ=WEEKLY;UNTIL=20260601' }, { field: 'rule', code: 'until_not_utc' }],
    [
      'UNTIL before the first date',
      { rule: 'FREQ=WEEKLY;UNTIL=20250601T000000Z' },
      { field: 'rule', code: 'until_before_start' },
    ],
    [
      'a first date that is not in the rule',
      { startsOn: '2026-03-04' },
      { field: 'startsOn', code: 'not_in_rule', firstOn: '2026-03-10' },
    ],
    [
      'a part that nobody knows',
      { rule: 'FREQ=WEEKLY;BYEASTER=1' },
      { field: 'rule', code: 'unknown_part', part: 'BYEASTER=1' },
    ],
    [
      'a DTSTART smuggled in',
      { rule: 'DTSTART=20260303T090000;FREQ=WEEKLY' },
      { field: 'rule', code: 'unknown_part', part: 'DTSTART=20260303T090000' },
    ],
    [
      'a part said twice',
      { rule: 'FREQ=WEEKLY;COUNT=2;COUNT=3' },
      { field: 'rule', code: 'repeated_part', part: 'COUNT=3' },
    ],
    ['no frequency', { rule: 'COUNT=3' }, { field: 'rule', code: 'malformed', part: 'FREQ' }],
    [
      'an interval of nothing',
      { rule: 'FREQ=WEEKLY;INTERVAL=0' },
      { field: 'rule', code: 'malformed', part: 'INTERVAL=0' },
    ],
    [
      'a weekday that does not exist',
      { rule: 'FREQ=WEEKLY;BYDAY=XX' },
      { field: 'rule', code: 'malformed', part: 'BYDAY=XX' },
    ],
    [
      'a numbered weekday in a weekly rule',
      { rule: 'FREQ=WEEKLY;BYDAY=1TU' },
      { field: 'rule', code: 'malformed', part: 'BYDAY' },
    ],
    [
      'openings every hour',
      { rule: 'FREQ=HOURLY' },
      { field: 'rule', code: 'oftener_than_daily', part: 'FREQ=HOURLY' },
    ],
    [
      'hours set by the rule',
      { rule: 'FREQ=DAILY;BYHOUR=9,10' },
      { field: 'rule', code: 'oftener_than_daily', part: 'BYHOUR=9,10' },
    ],
    ['a zone that does not exist', { timeZone: 'America/Gotham' }, { field: 'timeZone', code: 'unknown_zone' }],
    ['an offset in place of a zone', { timeZone: '-05:00' }, { field: 'timeZone', code: 'unknown_zone' }],
    ['a date that does not exist', { startsOn: '2026-02-30' }, { field: 'startsOn', code: 'not_a_date' }],
    ['a time that does not exist', { opensAt: '24:00' }, { field: 'opensAt', code: 'not_a_time' }],
    ['no length', { durationMin: 0 }, { field: 'durationMin', code: 'not_positive' }],
    ['no grain', { grainMin: 0 }, { field: 'grainMin', code: 'not_positive' }],
    ['a grain longer than the session', { grainMin: 240 }, { field: 'grainMin', code: 'longer_than_session' }],
    ['a buffer below nothing', { bufferAfterMin: -5 }, { field: 'bufferAfterMin', code: 'negative' }],
    ['more kept than there is', { urgentMin: 181 }, { field: 'urgentMin', code: 'longer_than_session' }],
    ['less than nothing kept', { urgentMin: -15 }, { field: 'urgentMin', code: 'negative' }],
    [
      'kept time let go after it is over',
      { urgentReleaseHours: -1 },
      { field: 'urgentReleaseHours', code: 'negative' },
    ],
    [
      'time kept with an interpreter',
      { urgentMin: 30, owner: { kind: 'interpreter', id: 'int_1' } },
      { field: 'urgentMin', code: 'only_clinicians' },
    ],
    ['an end before its start', { validTo: '2026-03-02' }, { field: 'validTo', code: 'before_start' }],
    ['patients in person without a site', { mode: 'either' }, { field: 'siteId', code: 'needed_in_person' }],
    [
      'an exception on a date without a session',
      { exceptions: [{ kind: 'closed', onDate: '2026-03-04' }] },
      { field: 'exceptions', code: 'not_in_rule', onDate: '2026-03-04' },
    ],
    [
      'a shortened date that is longer',
      { exceptions: [{ kind: 'shortened', onDate: '2026-03-10', opensAt: '09:00', durationMin: 181 }] },
      { field: 'exceptions', code: 'longer_than_rule', onDate: '2026-03-10' },
    ],
  ]
  test.each(cases)('%s is named at its field', (_name, change, fault) => {
    expect(checkSession({ ...tuesdays, ...change })).toContainEqual(fault)
  })

  test('a sound session has no fault', () => {
    expect(checkSession(tuesdays)).toEqual([])
    expect(checkSession({ ...tuesdays, rule: null })).toEqual([])
    expect(checkSession({ ...tuesdays, startsOn: '2028-02-29', rule: 'FREQ=YEARLY', opensAt: '02:30' })).toEqual([])
  })

  // A rule typed by a person must not hold up a server that also serves others.
  test('a daily rule that never falls on a date is found out in bounded time', { timeout: 60_000 }, () => {
    const before = process.cpuUsage()
    expect(checkSession({ ...tuesdays, rule: 'FREQ=DAILY;BYMONTH=2;BYMONTHDAY=30' })).toEqual([
      { field: 'rule', code: 'never_occurs' },
    ])
    // Microseconds of work, not of waiting; without the bound it is about ten seconds.
    expect(process.cpuUsage(before).user).toBeLessThan(5_000_000)
  })
})
