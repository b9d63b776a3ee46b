/**
 * Sources: RFC 5545 (lines end in CRLF and are folded at 75 octets, 3.1; TEXT escaping, 3.3.11; DTSTAMP in UTC, 3.8.7.2;
 * TZID needs its VTIMEZONE, 3.6.5), RFC 5546 (the property tables of REQUEST, 3.2.2, and CANCEL, 3.2.5). Read back by
 * ical.js, a reader of its own.
 */
import ICAL from 'ical.js'
import { describe, expect, test } from 'vitest'
import { calendarInvite } from '#lib/adapters/calendar-invite.ts'
import { Temporal } from '#lib/base/time.ts'
import type { VisitInLetter } from '#lib/domain/messages/mail.ts'

const visit: VisitInLetter = {
  mode: 'video',
  startsAt: Temporal.Instant.from('2026-03-10T13:00:00Z'),
  endsAt: Temporal.Instant.from('2026-03-10T13:45:00Z'),
  timeZone: 'America/New_York',
  place: null,
  calendar: { uid: 'vis_1@example.org', sequence: 0, changedAt: Temporal.Instant.from('2026-03-01T08:00:00.123Z') },
}
const words = { summary: 'Video visit, Hudson', location: 'By video' }
const people = {
  organizer: { name: 'Hudson Foot and Ankle', email: 'visits@example.org' },
  attendee: { name: 'Ana', email: 'ana@example.org' },
}
const moved = {
  ...visit,
  startsAt: Temporal.Instant.from('2026-11-03T14:00:00Z'),
  endsAt: Temporal.Instant.from('2026-11-03T14:45:00Z'),
  calendar: { ...visit.calendar, sequence: 1 },
}

function read(content: string) {
  const calendar = new ICAL.Component(ICAL.parse(content))
  const event = calendar.getFirstSubcomponent('vevent')
  if (!event) throw new Error('no VEVENT')
  return { calendar, event, zones: calendar.getAllSubcomponents('vtimezone') }
}

describe('the calendar entry', () => {
  test.each([
    ['before the clocks change', visit],
    ['after they changed', moved],
    ['in another zone', { ...visit, timeZone: 'America/Phoenix' }],
  ])('stands at the visit’s own time for whoever reads it, %s', (_when, about) => {
    const { event, zones } = read(calendarInvite('REQUEST', about, words, people).content)
    expect(zones.map((zone) => zone.getFirstPropertyValue('tzid'))).toEqual([about.timeZone])
    for (const zone of zones) ICAL.TimezoneService.register(zone)
    const parsed = read(calendarInvite('REQUEST', about, words, people).content)
    const of = (name: 'dtstart' | 'dtend') =>
      (parsed.event.getFirstPropertyValue(name) as ICAL.Time).toUnixTime() * 1000
    expect(of('dtstart')).toBe(about.startsAt.epochMilliseconds)
    expect(of('dtend')).toBe(about.endsAt.epochMilliseconds)
    expect(event.getFirstProperty('dtstart')?.getParameter('tzid')).toBe(about.timeZone)
    ICAL.TimezoneService.reset()
  })

  test('carries what a REQUEST must, and CONFIRMED', () => {
    const { calendar, event } = read(calendarInvite('REQUEST', visit, words, people).content)
    expect(calendar.getFirstPropertyValue('version')).toBe('2.0')
    expect(calendar.getFirstPropertyValue('method')).toBe('REQUEST')
    for (const name of ['uid', 'dtstamp', 'organizer', 'dtstart', 'summary'])
      expect(event.getAllProperties(name), name).toHaveLength(1)
    expect(event.getAllProperties('attendee').length).toBeGreaterThanOrEqual(1)
    expect(event.getFirstPropertyValue('sequence')).toBe(0)
    expect(event.getFirstPropertyValue('status')).toBe('CONFIRMED')
    expect(event.getAllProperties('request-status')).toHaveLength(0)
    expect(event.getAllProperties('duration')).toHaveLength(0)
    expect((event.getFirstPropertyValue('dtstamp') as ICAL.Time).zone?.tzid).toBe('UTC')
  })

  test('moves by the same UID and a higher SEQUENCE, and is cancelled by it, without an alarm', () => {
    const uid = (content: string) => read(content).event.getFirstPropertyValue('uid')
    const before = calendarInvite('REQUEST', visit, words, people)
    const after = calendarInvite('REQUEST', moved, words, people)
    expect(uid(after.content)).toBe(uid(before.content))
    expect(read(after.content).event.getFirstPropertyValue('sequence')).toBe(1)

    const ended = { ...moved, calendar: { ...moved.calendar, sequence: 2 } }
    const { calendar, event } = read(calendarInvite('CANCEL', ended, words, people).content)
    expect(calendar.getFirstPropertyValue('method')).toBe('CANCEL')
    expect(event.getFirstPropertyValue('uid')).toBe(visit.calendar.uid)
    expect(event.getFirstPropertyValue('sequence')).toBe(2)
    expect(event.getFirstPropertyValue('status')).toBe('CANCELLED')
    expect(event.getAllProperties('attendee').length).toBeGreaterThanOrEqual(1)
    expect(event.getAllSubcomponents('valarm')).toHaveLength(0)
  })

  test('survives commas, semicolons, backslashes and other alphabets', () => {
    const hard = { summary: 'Video visit, Ñandú; "Fuß" \\ 足', location: 'Room 1; 2, rue de l’Été' }
    const { event } = read(calendarInvite('REQUEST', visit, hard, people).content)
    expect(event.getFirstPropertyValue('summary')).toBe(hard.summary)
    expect(event.getFirstPropertyValue('location')).toBe(hard.location)
  })

  test('is made of lines that end in CRLF, hold at most 75 octets and split no character', () => {
    const long = { summary: `Visit at ${'Ñandú 足 '.repeat(40)}`, location: 'x'.repeat(300) }
    const { content } = calendarInvite('REQUEST', visit, long, people)
    expect(content.replaceAll('\r\n', '')).not.toMatch(/[\r\n]/)
    const bytes = Buffer.from(content, 'utf8')
    for (const line of bytes.toString('latin1').split('\r\n')) {
      expect(line.length).toBeLessThanOrEqual(75)
      const text = Buffer.from(line, 'latin1').toString('utf8')
      expect(text).not.toContain('\ufffd')
    }
    expect(read(content).event.getFirstPropertyValue('summary')).toBe(long.summary)
  })

  test('ends its last line too, as every content line must', () => {
    expect(calendarInvite('REQUEST', visit, words, people).content.endsWith('END:VCALENDAR\r\n')).toBe(true)
  })
})
