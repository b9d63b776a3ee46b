import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { NTHS, type Repeat, repeatOf, ruleOf, WEEKDAY_CODES } from '#lib/domain/calendar/repeat.ts'
import { expandSession } from '#lib/domain/calendar/session.ts'
import { aSession } from '#tests/support/sessions.ts'

const every = fc.integer({ min: 1, max: 6 })
const weekday = fc.integer({ min: 1, max: 7 })
const choices: fc.Arbitrary<Repeat> = fc.oneof(
  fc.constant<Repeat>({ kind: 'once' }),
  fc.record({
    kind: fc.constant('weekly' as const),
    every,
    weekdays: fc.subarray([1, 2, 3, 4, 5, 6, 7], { minLength: 1 }),
  }),
  fc.record({ kind: fc.constant('monthly_weekday' as const), every, nth: fc.constantFrom(...NTHS), weekday }),
  fc.record({
    kind: fc.constant('monthly_day' as const),
    every,
    day: fc.oneof(fc.constant(-1), fc.integer({ min: 1, max: 31 })),
  }),
)
const dates = fc
  .integer({ min: 0, max: 1000 })
  .map((days) => Temporal.PlainDate.from('2026-01-01').add({ days }).toString())

/** The dates of a rule in three years, as they are before an hour is asked for. */
function datesOf(rule: string | null, startsOn: string): number[] {
  const from = Temporal.Instant.from(`${startsOn}T00:00Z`)
  return expandSession(aSession({ rule, startsOn }), from, from.add({ hours: 24 * 366 * 3 }), []).map(
    ({ start }) => start,
  )
}

test('what is chosen on the form comes back as it was chosen', () => {
  fc.assert(
    fc.property(choices, dates, (choice, startsOn) => {
      expect(repeatOf(ruleOf(choice), startsOn)).toEqual(choice)
    }),
    { seed: 2026 },
  )
})

test('any rule that goes through the form falls on the same dates as before', () => {
  const codes = fc.subarray([...WEEKDAY_CODES])
  const seldom = <T>(arbitrary: fc.Arbitrary<T>) =>
    fc.oneof({ weight: 3, arbitrary: fc.constant(null) }, { weight: 1, arbitrary })
  const number = (max: number) => fc.integer({ min: -3, max }).filter((value) => value !== 0)
  const rules = fc
    .record({
      freq: fc.constantFrom('DAILY', 'WEEKLY', 'MONTHLY', 'YEARLY'),
      interval: seldom(fc.integer({ min: 1, max: 4 })),
      days: seldom(codes.filter((some) => some.length > 0)),
      nth: seldom(number(4)),
      monthDay: seldom(number(31)),
      month: seldom(fc.integer({ min: 1, max: 12 })),
      position: seldom(number(2)),
      wkst: seldom(fc.constantFrom('SU', 'MO', 'WE')),
      count: seldom(fc.integer({ min: 1, max: 40 })),
    })
    .map(({ freq, interval, days, nth, monthDay, month, position, wkst, count }) => {
      const isWide = freq === 'MONTHLY' || freq === 'YEARLY'
      const byDay = days?.map((code) => (isWide && nth !== null ? `${nth}${code}` : code))
      const byMonthDay = isWide && monthDay !== null ? `BYMONTHDAY=${monthDay}` : null
      const hasSet = byDay !== undefined || byMonthDay !== null || month !== null
      return [
        `FREQ=${freq}`,
        interval === null ? null : `INTERVAL=${interval}`,
        byDay ? `BYDAY=${byDay.join(',')}` : null,
        byMonthDay,
        month === null ? null : `BYMONTH=${month}`,
        position !== null && hasSet && isWide ? `BYSETPOS=${position}` : null,
        wkst === null ? null : `WKST=${wkst}`,
        count === null ? null : `COUNT=${count}`,
      ]
        .filter((part) => part !== null)
        .join(';')
    })
  let said = 0
  fc.assert(
    fc.property(rules, dates, (rule, startsOn) => {
      const choice = repeatOf(rule, startsOn)
      if (choice.kind !== 'own') said += 1
      expect(datesOf(ruleOf(choice), startsOn)).toEqual(datesOf(rule, startsOn))
    }),
    { seed: 5545, numRuns: 250 },
  )
  expect(said).toBeGreaterThan(60)
}, 60_000)

describe('a rule the form can say, however it is written', () => {
  test.each<[string, Repeat]>([
    ['FREQ=WEEKLY', { kind: 'weekly', every: 1, weekdays: [2] }],
    ['FREQ=WEEKLY;INTERVAL=2;BYDAY=TH,TU', { kind: 'weekly', every: 2, weekdays: [2, 4] }],
    ['FREQ=DAILY', { kind: 'weekly', every: 1, weekdays: [1, 2, 3, 4, 5, 6, 7] }],
    ['FREQ=MONTHLY;BYDAY=TU;BYSETPOS=1', { kind: 'monthly_weekday', every: 1, nth: 1, weekday: 2 }],
    ['FREQ=MONTHLY;BYDAY=-1FR', { kind: 'monthly_weekday', every: 1, nth: -1, weekday: 5 }],
    ['FREQ=MONTHLY', { kind: 'monthly_day', every: 1, day: 6 }],
  ])('%s', (rule, choice) => {
    expect(repeatOf(rule, '2026-01-06')).toEqual(choice)
  })
})

describe('a rule the form cannot say stays as it is written', () => {
  test.each([
    'FREQ=WEEKLY;COUNT=10;BYDAY=TU',
    'FREQ=WEEKLY;UNTIL=20271224T000000Z;BYDAY=TU',
    'FREQ=DAILY;INTERVAL=2',
    'FREQ=YEARLY;BYMONTH=1;BYDAY=1TU',
    'FREQ=MONTHLY;BYDAY=1TU,3TU',
    'FREQ=MONTHLY;BYDAY=-2MO',
    'FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,SU;WKST=SU',
  ])('%s', (rule) => {
    expect(repeatOf(rule, '2026-01-06')).toEqual({ kind: 'own', rule })
  })
})
