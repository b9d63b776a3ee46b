/** The definition of a zone, for a calendar that names it. RFC 5545 3.6.5: a TZID that is used must be defined. */
import { tzlib_get_ical_block } from 'timezones-ical-library'

export function vtimezone(timeZone: string): string {
  const block = tzlib_get_ical_block(timeZone)[0]
  if (block === undefined) throw new Error('no VTIMEZONE for the zone of a calendar')
  // Of use to one program of old only; TZID says the same.
  return block.replace(/^X-LIC-LOCATION:.*\r?\n/m, '')
}
