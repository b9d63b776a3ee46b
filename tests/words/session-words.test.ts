import { describe, expect, test } from 'vitest'
import type { ClinicSession } from '#lib/domain/calendar/session.ts'
import { sessionWords } from '#lib/words/session-words.ts'
import rfc from '#tests/reference/data/rfc5545-recurrence-examples.json'
import { aSession } from '#tests/support/sessions.ts'

const nowhere = { site: null, room: null }

describe('a session in plain words', () => {
  test.each<[string, Partial<ClinicSession>]>([
    [
      'every other Tuesday 09:00 to 12:00 New York time, video, until June 30, 2027',
      { rule: 'FREQ=WEEKLY;INTERVAL=2;BYDAY=TU', validTo: '2027-06-30' },
    ],
    ['once, on Tuesday, January 6, 2026, 09:00 to 12:00 New York time, video', {}],
    [
      'every day from Monday to Friday 09:00 to 12:00 New York time, video',
      { rule: 'FREQ=WEEKLY;BYDAY=MO,TU,WE,TH,FR' },
    ],
    ['every Tuesday and Thursday 09:00 to 12:00 New York time, video', { rule: 'FREQ=WEEKLY;BYDAY=TU,TH' }],
    [
      'every other week on Tuesday and Thursday 09:00 to 12:00 New York time, video',
      { rule: 'FREQ=WEEKLY;INTERVAL=2;BYDAY=TU,TH' },
    ],
    [
      'every other week from Monday to Thursday 09:00 to 12:00 New York time, video',
      { rule: 'FREQ=WEEKLY;INTERVAL=2;BYDAY=MO,TU,WE,TH' },
    ],
    ['every 3rd week on Tuesday 09:00 to 12:00 New York time, video', { rule: 'FREQ=WEEKLY;INTERVAL=3;BYDAY=TU' }],
    ['the first Tuesday of every month 09:00 to 12:00 New York time, video', { rule: 'FREQ=MONTHLY;BYDAY=1TU' }],
    [
      'the last day of every other month 22:00 to 24:00 Boise time, video',
      {
        rule: 'FREQ=MONTHLY;INTERVAL=2;BYMONTHDAY=-1',
        timeZone: 'America/Boise',
        opensAt: '22:00',
        durationMin: 120,
      },
    ],
    ['every day 23:00 to 02:00 on the next day New York time, video', { rule: 'FREQ=DAILY', opensAt: '23:00' }],
    ['every other day 10 times 09:00 to 12:00 New York time, video', { rule: 'FREQ=DAILY;INTERVAL=2;COUNT=10' }],
  ])('%s', (words, change) => {
    expect(sessionWords(aSession(change), nowhere)).toBe(words)
  })

  test('says where it is in person, and when it is yet to begin', () => {
    const session = aSession({ mode: 'in_person', siteId: 'sit_1', roomId: 'roo_1', rule: 'FREQ=WEEKLY;BYDAY=TU' })
    expect(sessionWords(session, { site: 'Larkfield', room: 'Room 1' }, '2025-12-01')).toBe(
      'every Tuesday 09:00 to 12:00 New York time, in person at Larkfield, Room 1, from January 6, 2026',
    )
    expect(sessionWords(aSession({ mode: 'either' }), { site: 'Larkfield', room: null }, '2026-02-01')).toContain(
      'video or in person at Larkfield',
    )
  })

  // Every part of every rule of the standard's own examples has words: no code of the rule is left in them.
  test.each(rfc.examples.flatMap(({ rrules, title }) => rrules.map((rule) => [rule, title])))('%s (%s)', (rule) => {
    const words = sessionWords(aSession({ rule }), nowhere)
    expect(words).not.toMatch(/FREQ|BY[A-Z]|=|undefined|NaN|null/)
    expect(words).toMatch(/^(every|the) /)
  })
})
