/**
 * A clinician's calendar as iCalendar (RFC 5545), with the name and the pace of reading of RFC 7986. It has no METHOD: it
 * invites nobody, so DTSTAMP is when the visit was last changed (RFC 5545 3.8.7.2), and the same visits give the same
 * text, which is what lets a reader be told that nothing is new.
 */
import ical, { ICalEventClass, ICalEventStatus, ICalEventTransparency } from 'ical-generator'
import type { FeedPort } from '#lib/domain/feed/clinician-feed.ts'
import { vtimezone } from './vtimezone.ts'

/** How often a reader should ask again (RFC 7986 5.7). */
const REFRESH = 'REFRESH-INTERVAL;VALUE=DURATION:PT30M'

/** The calendar's own lines stand before its components (RFC 5545 3.6); the library would put this one behind. */
const FIRST_COMPONENT = /^(?:BEGIN:V(?:TIMEZONE|EVENT)|END:VCALENDAR)\r\n/m

/** The library writes an older twin beside NAME; one of the two is enough. */
const OLDER_NAME = /^X-WR-CALNAME:.*\r\n(?:[ \t].*\r\n)*/m

/** `baseUrl` is where the app lives. */
export function feedPort({ baseUrl }: { baseUrl: string }): FeedPort {
  return {
    render({ clinicName, clinicianName, timeZone, events }) {
      const calendar = ical({
        prodId: { company: 'Farstep', product: 'Farstep', language: 'EN' },
        // The library writes the name as it is given.
        name: asText(`${clinicianName}, ${clinicName}`),
        timezone: { name: null, generator: vtimezone },
      })
      for (const event of events) {
        calendar.createEvent({
          id: event.uid,
          sequence: event.sequence,
          stamp: event.changedAt,
          created: event.createdAt,
          lastModified: event.changedAt,
          start: event.startsAt.toZonedDateTimeISO(timeZone),
          end: event.endsAt.toZonedDateTimeISO(timeZone),
          timezone: timeZone,
          summary: event.summary,
          location: event.location,
          url: new URL(event.path, baseUrl).href,
          class: ICalEventClass.PRIVATE,
          transparency: event.isCancelled ? ICalEventTransparency.TRANSPARENT : ICalEventTransparency.OPAQUE,
          status: event.isCancelled ? ICalEventStatus.CANCELLED : ICalEventStatus.CONFIRMED,
        })
      }
      // RFC 5545 3.4: the last line is a line too; the library leaves it open.
      return `${calendar.toString()}\r\n`.replace(OLDER_NAME, '').replace(FIRST_COMPONENT, `${REFRESH}\r\n$&`)
    },
  }
}

/** RFC 5545 3.3.11. */
function asText(words: string): string {
  return words.replace(/[\\;,]/g, '\\$&').replace(/\r?\n/g, '\\n')
}
