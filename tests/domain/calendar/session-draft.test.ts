import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { checkSession } from '#lib/domain/calendar/check-session.ts'
import { type RawSession, readSession, readTime, withoutStrayExceptions } from '#lib/domain/calendar/session-draft.ts'
import { aSession } from '#tests/support/sessions.ts'

const typed: RawSession = {
  mode: 'video',
  siteId: '',
  roomId: '',
  timeZone: 'America/New_York',
  startsOn: '2026-03-10',
  opensAt: '9:00',
  closesAt: '12:30 pm',
  repeat: 'weekly',
  every: '2',
  weekdays: ['4', '2'],
  nth: '',
  weekday: '',
  monthDay: '',
  rule: '',
  validTo: '2026-06-30',
  grainMin: '15',
  bufferBeforeMin: '0',
  bufferAfterMin: '5',
  noticeMin: '120',
  urgentMin: '30',
  urgentReleaseHours: '8',
}
const kept = { id: 'ses_1', owner: { kind: 'clinician', id: 'cli_1' }, exceptions: [] } as const

test('what is typed becomes a session', () => {
  expect(readSession(typed, kept)).toEqual({
    ok: true,
    value: aSession({
      startsOn: '2026-03-10',
      opensAt: '09:00',
      durationMin: 210,
      rule: 'FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,TH',
      validTo: '2026-06-30',
      grainMin: 15,
      bufferAfterMin: 5,
      noticeMin: 120,
      urgentMin: 30,
      urgentReleaseHours: 8,
    }),
  })
})

test('by video a clinician’s session has no place, whatever was left in the field', () => {
  const read = readSession({ ...typed, siteId: 'sit_1', roomId: 'roo_1' }, kept)
  expect(read).toMatchObject({ ok: true, value: { siteId: null, roomId: null } })
})

test('a rule of one’s own may come as a calendar writes it', () => {
  const rule = ' RRULE:freq=weekly; interval=2;byday=TU '
  expect(readSession({ ...typed, repeat: 'own', rule }, kept)).toMatchObject({
    ok: true,
    value: { rule: 'FREQ=WEEKLY;INTERVAL=2;BYDAY=TU' },
  })
})

describe('times as people type them', () => {
  test.each([
    ['9:00', '09:00'],
    ['09:00', '09:00'],
    ['1:30 pm', '13:30'],
    ['1:30PM', '13:30'],
    ['12:00 am', '00:00'],
    ['12:15 p.m.', '12:15'],
    ['24:00', '24:00'],
    ['24:01', null],
    ['9', null],
    ['9:60', null],
    ['25:00', null],
    ['13:00 pm', null],
    ['', null],
  ])('%s', (text, time) => {
    expect(readTime(text)).toBe(time)
  })
})

test.each<[string, Partial<RawSession>, object]>([
  ['a day of no month', { repeat: 'monthly_day', monthDay: '32' }, { field: 'monthDay', code: 'out_of_range' }],
  ['every 0 weeks', { every: '0' }, { field: 'every', code: 'out_of_range' }],
  ['half a minute', { grainMin: '7.5' }, { field: 'grainMin', code: 'not_a_number' }],
  ['a grain of a minute', { grainMin: '1' }, { field: 'grainMin', code: 'beyond_bounds', min: 5, max: 240 }],
  [
    'three minutes long',
    { closesAt: '9:03', urgentMin: '0' },
    { field: 'closesAt', code: 'beyond_bounds', min: 5, max: 1440 },
  ],
  [
    'a buffer of half a day',
    { bufferAfterMin: '720' },
    { field: 'bufferAfterMin', code: 'beyond_bounds', min: 0, max: 240 },
  ],
  ['no weekday of the month', { repeat: 'monthly_weekday', nth: '2' }, { field: 'weekday', code: 'required' }],
])('%s is said at its field', (_name, change, fault) => {
  const read = readSession({ ...typed, ...change }, kept)
  expect(read.ok ? [] : read.error).toContainEqual(fault)
})

test('whatever is typed, what is read can be kept, and every fault has its field', () => {
  const text = (likely: string) => fc.oneof({ weight: 5, arbitrary: fc.constant(likely) }, fc.string({ maxLength: 8 }))
  const raw = fc.record({
    ...(Object.fromEntries(
      Object.entries(typed).map(([field, value]) => [field, text(String(value))]),
    ) as unknown as Record<Exclude<keyof RawSession, 'weekdays'>, fc.Arbitrary<string>>),
    repeat: fc.constantFrom('once', 'weekly', 'monthly_weekday', 'monthly_day', 'own', ''),
    weekdays: fc.subarray(['1', '2', '3', '4', '5', '6', '7', 'x']),
  })
  fc.assert(
    fc.property(raw, (some) => {
      const read = readSession(some, kept)
      if (read.ok) expect(checkSession(read.value)).toEqual([])
      else for (const fault of read.error) expect(Object.keys(typed)).toContain(fault.field)
    }),
    { seed: 9, numRuns: 500 },
  )
})

test('exceptions that fall on no date of the session go, the others stay', () => {
  const session = aSession({
    rule: 'FREQ=WEEKLY;BYDAY=TU',
    exceptions: [
      { kind: 'closed', onDate: '2026-01-13' },
      { kind: 'closed', onDate: '2026-01-14' },
      { kind: 'shortened', onDate: '2026-01-20', opensAt: '09:00', durationMin: 240 },
    ],
  })
  expect(withoutStrayExceptions(session)).toEqual({
    session: { ...session, exceptions: session.exceptions.slice(0, 1) },
    strays: ['2026-01-14', '2026-01-20'],
  })
})
