import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { type ClinicSession, expandSession } from '#lib/domain/calendar/session.ts'
import { firstOverlap } from '#lib/domain/calendar/session-overlap.ts'
import { aSession } from '#tests/support/sessions.ts'

const tuesdays = aSession({ rule: 'FREQ=WEEKLY;BYDAY=TU' })
const other = (change: Partial<ClinicSession>) => aSession({ id: 'ses_2', ...change })
const TODAY = '2026-01-01'

describe('two sessions of one person', () => {
  test.each<[string, Partial<ClinicSession>, string | null]>([
    ['one after the other', { rule: 'FREQ=WEEKLY;BYDAY=TU', opensAt: '12:00' }, null],
    ['a minute too long', { rule: 'FREQ=WEEKLY;BYDAY=TU', opensAt: '06:01' }, '2026-01-06'],
    ['on other days', { startsOn: '2026-01-07', rule: 'FREQ=WEEKLY;BYDAY=WE' }, null],
    [
      'from the second of the month, which is a Tuesday in June',
      { startsOn: '2026-01-02', rule: 'FREQ=MONTHLY' },
      '2026-06-02',
    ],
    [
      'over before the first begins',
      { startsOn: '2025-01-07', rule: 'FREQ=WEEKLY;BYDAY=TU', validTo: '2026-01-05' },
      null,
    ],
    // 2026: New York changes its clocks on 8 March, London on 29 March; between the two London is four hours ahead.
    [
      'in London, which meets only while the clocks differ',
      { timeZone: 'Europe/London', rule: 'FREQ=WEEKLY;BYDAY=TU', opensAt: '13:00', durationMin: 60 },
      '2026-03-10',
    ],
    ['begins years later', { startsOn: '2031-01-07', rule: 'FREQ=WEEKLY;BYDAY=TU' }, '2031-01-07'],
  ])('%s', (_name, change, onDate) => {
    const found = firstOverlap(tuesdays, [other(change)], TODAY)
    expect(found).toEqual(onDate === null ? null : { sessionId: 'ses_2', onDate })
    // It is the same seen from the other side.
    expect(firstOverlap(other(change), [tuesdays], TODAY)?.sessionId ?? null).toBe(onDate === null ? null : 'ses_1')
  })

  test('do not meet where one is closed or has moved away, and do where it is moved onto the other', () => {
    const rival = other({ startsOn: '2026-01-13' })
    expect(firstOverlap(tuesdays, [rival], TODAY)?.onDate).toBe('2026-01-13')
    const closed = { ...tuesdays, exceptions: [{ kind: 'closed' as const, onDate: '2026-01-13' }] }
    expect(firstOverlap(closed, [rival], TODAY)).toBeNull()
    const moved = {
      kind: 'moved' as const,
      onDate: '2026-01-13',
      toDate: '2026-01-14',
      opensAt: '09:00',
      durationMin: 180,
    }
    const away = { ...tuesdays, exceptions: [moved] }
    expect(firstOverlap(away, [rival], TODAY)).toBeNull()
    expect(firstOverlap(away, [other({ startsOn: '2026-01-14' })], TODAY)).toEqual({
      sessionId: 'ses_2',
      onDate: '2026-01-14',
    })
  })

  test('a date moved onto the next date of its own session is found too', () => {
    const moved = {
      kind: 'moved' as const,
      onDate: '2026-01-13',
      toDate: '2026-01-20',
      opensAt: '11:00',
      durationMin: 60,
    }
    expect(firstOverlap({ ...tuesdays, exceptions: [moved] }, [], TODAY)).toEqual({
      sessionId: 'ses_1',
      onDate: '2026-01-20',
    })
  })

  test('what is past does not count', () => {
    const past = other({ rule: null })
    expect(firstOverlap(tuesdays, [past], '2026-01-06')?.onDate).toBe('2026-01-06')
    expect(firstOverlap(tuesdays, [past], '2026-01-08')).toBeNull()
  })

  test('meet exactly when some minute lies in openings of both, in any zones', { timeout: 60_000 }, () => {
    const days = ['MO', 'TU', 'WE', 'TH', 'FR', 'SA', 'SU']
    const sessions = (id: string) =>
      fc
        .record({
          timeZone: fc.constantFrom('America/New_York', 'America/Phoenix', 'Europe/London', 'America/Chicago'),
          start: fc.integer({ min: 0, max: 20 }),
          hour: fc.integer({ min: 6, max: 12 }),
          durationMin: fc.integer({ min: 1, max: 8 }).map((quarter) => quarter * 30),
          every: fc.integer({ min: 1, max: 3 }),
          days: fc.subarray(days, { minLength: 1, maxLength: 4 }),
        })
        .map(({ timeZone, start, hour, durationMin, every, days: on }) =>
          aSession({
            id,
            timeZone,
            startsOn: Temporal.PlainDate.from('2026-01-01').add({ days: start }).toString(),
            opensAt: `${String(hour).padStart(2, '0')}:00`,
            durationMin,
            rule: `FREQ=WEEKLY;INTERVAL=${every};BYDAY=${on.join(',')}`,
          }),
        )
    let meetings = 0
    fc.assert(
      fc.property(sessions('ses_1'), sessions('ses_2'), (one, two) => {
        const open = (session: ClinicSession) =>
          expandSession(
            session,
            Temporal.Instant.from('2026-01-01T00:00Z'),
            Temporal.Instant.from('2028-12-31T00:00Z'),
            [],
          )
        const theirs = open(two)
        const first = open(one).find((a) => theirs.some((b) => a.start < b.end && b.start < a.end))
        const expected = first
          ? Temporal.Instant.fromEpochMilliseconds(first.start)
              .toZonedDateTimeISO(one.timeZone)
              .toPlainDate()
              .toString()
          : null
        if (first) meetings += 1
        expect(firstOverlap(one, [two], '2026-01-01')?.onDate ?? null).toBe(expected)
      }),
      { seed: 4, numRuns: 60 },
    )
    expect(meetings).toBeGreaterThan(10)
  })
})
