/**
 * The calendar entry of a visit, as iTIP (RFC 5546) over mail (RFC 6047). The same UID for the life of a visit and a
 * SEQUENCE that rises with each change are what make a second invite move the entry instead of doubling it. It says when
 * and where, never why: calendars are shared and synchronised.
 */
import ical, { ICalAttendeeRole, ICalAttendeeStatus, ICalCalendarMethod, ICalEventStatus } from 'ical-generator'
import type { CalendarInvite, VisitInLetter } from '#lib/domain/messages/mail.ts'
import { vtimezone } from './vtimezone.ts'

export type InviteWords = { summary: string; location: string }
export type InvitePeople = { organizer: { name: string; email: string }; attendee: { name: string; email: string } }

/** REQUEST for a booked or moved visit, CANCEL for a cancelled one. */
export function calendarInvite(
  method: CalendarInvite['method'],
  visit: VisitInLetter,
  { summary, location }: InviteWords,
  { organizer, attendee }: InvitePeople,
): CalendarInvite {
  const isCancelled = method === 'CANCEL'
  const calendar = ical({
    prodId: { company: 'Farstep', product: 'Farstep', language: 'EN' },
    method: isCancelled ? ICalCalendarMethod.CANCEL : ICalCalendarMethod.REQUEST,
    timezone: { name: null, generator: vtimezone },
  })
  calendar.createEvent({
    id: visit.calendar.uid,
    sequence: visit.calendar.sequence,
    stamp: visit.calendar.changedAt,
    start: visit.startsAt.toZonedDateTimeISO(visit.timeZone),
    end: visit.endsAt.toZonedDateTimeISO(visit.timeZone),
    timezone: visit.timeZone,
    summary,
    location,
    organizer,
    attendees: [{ ...attendee, role: ICalAttendeeRole.REQ, status: ICalAttendeeStatus.NEEDSACTION, rsvp: false }],
    status: isCancelled ? ICalEventStatus.CANCELLED : ICalEventStatus.CONFIRMED,
  })
  // RFC 5545 3.4: the last line is a line too; the library leaves it open.
  return { method, content: `${calendar.toString()}\r\n` }
}
