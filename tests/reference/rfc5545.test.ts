/** RFC 5545 section 3.8.5.3: all 39 worked examples, 42 rules, through the way every clinic session takes. */
import { describe, expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { type ClinicSession, expandSession } from '#lib/domain/calendar/session.ts'
import reference from './data/rfc5545-recurrence-examples.json'

const rules = reference.examples.flatMap((example) => example.rrules.map((rule) => ({ ...example, rule })))

test('every example of the standard is here', () => {
  expect([reference.examples.length, rules.length]).toEqual([39, 42])
})

describe('RFC 5545 3.8.5.3', () => {
  test.each(rules)('$id $title: $rule', ({ tzid, dtstart, exdate, rule, complete, expectedLocal }) => {
    const date = (text: string) => text.replace(/^(\d{4})(\d\d)(\d\d).*/, '$1-$2-$3')
    const session: ClinicSession = {
      id: 'ses_1',
      owner: { kind: 'clinician', id: 'cli_1' },
      mode: 'video',
      siteId: null,
      roomId: null,
      timeZone: tzid,
      startsOn: date(dtstart),
      opensAt: `${dtstart.slice(9, 11)}:${dtstart.slice(11, 13)}`,
      durationMin: 5,
      rule,
      validTo: null,
      grainMin: 5,
      bufferBeforeMin: 0,
      bufferAfterMin: 0,
      noticeMin: 0,
      urgentMin: 0,
      urgentReleaseHours: 0,
      exceptions: exdate === null ? [] : [{ kind: 'closed', onDate: date(exdate) }],
    }
    const from = Temporal.PlainDateTime.from(dtstart).toZonedDateTime(tzid)
    // An endless rule is read a little past the last date that the standard prints.
    const to = Temporal.PlainDateTime.from(expectedLocal.at(-1)!)
      .toZonedDateTime(tzid)
      .add(complete ? { years: 5 } : { minutes: 1 })
    const found = expandSession(session, from.toInstant(), to.toInstant(), []).map(({ start }) =>
      Temporal.Instant.fromEpochMilliseconds(start)
        .toZonedDateTimeISO(tzid)
        .toPlainDateTime()
        .toString()
        .replaceAll(/[-:]/g, ''),
    )
    expect(found).toEqual(expectedLocal)
  })
})
