/**
 * What a clinician's private calendar says of each visit: when, how and where, never why. Calendars are synchronised to
 * telephones, shared with families and kept by other companies, so it says who comes only where the clinic's policy
 * allows that. A cancelled visit stays, marked as such, so that it also ends where somebody has made a copy of it.
 */
import type { Temporal } from '#lib/base/time.ts'
import type { VisitMode } from '../calendar/supply.ts'

export type FeedVisit = {
  visitId: string
  /** RFC 5545 UID and RFC 5546 SEQUENCE: those of the patient's own invite. */
  uid: string
  sequence: number
  mode: VisitMode
  isCancelled: boolean
  startsAt: Temporal.Instant
  endsAt: Temporal.Instant
  createdAt: Temporal.Instant
  changedAt: Temporal.Instant
  patientName: string
  interpreterName: string | null
  place: { siteName: string; roomName: string; address: string } | null
}

/** One calendar, ready to be written down. */
export type ClinicianFeed = {
  clinicName: string
  clinicianName: string
  /** IANA zone in which the clinician reads it. */
  timeZone: string
  events: FeedEvent[]
}
export type FeedEvent = Pick<
  FeedVisit,
  'uid' | 'sequence' | 'isCancelled' | 'startsAt' | 'endsAt' | 'createdAt' | 'changedAt'
> & {
  summary: string
  location: string
  /** Path of the visit's page in the app, which asks who is there. */
  path: string
}

/** Writes a calendar down (RFC 5545). The same feed gives the same text. */
export type FeedPort = { render(feed: ClinicianFeed): string }

/** How far a calendar reaches back. */
export const FEED_DAYS_BACK = 30

/** One event. */
export function feedEvent(visit: FeedVisit, { patientNames }: { patientNames: boolean }): FeedEvent {
  const { visitId, mode, place, patientName, interpreterName, ...kept } = visit
  const what = mode === 'video' ? 'Video visit' : 'Visit at the clinic'
  const { uid, sequence, isCancelled, startsAt, endsAt, createdAt, changedAt } = kept
  return {
    ...{ uid, sequence, isCancelled, startsAt, endsAt, createdAt, changedAt },
    summary: `${what}${patientNames ? `: ${patientName}` : ''}${interpreterName === null ? '' : ', interpreted'}`,
    location: place === null ? 'By video' : `${place.siteName}, ${place.roomName}, ${place.address}`,
    path: `/visits/${visitId}`,
  }
}
