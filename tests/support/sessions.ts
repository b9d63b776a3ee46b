/** A clinic session for tests of the calendar: video on the first Tuesday of 2026, 09:00 to 12:00 New York time, once. */
import type { ClinicSession } from '#lib/domain/calendar/session.ts'

export function aSession(change: Partial<ClinicSession> = {}): ClinicSession {
  return {
    id: 'ses_1',
    owner: { kind: 'clinician', id: 'cli_1' },
    mode: 'video',
    siteId: null,
    roomId: null,
    timeZone: 'America/New_York',
    startsOn: '2026-01-06',
    opensAt: '09:00',
    durationMin: 180,
    rule: null,
    validTo: null,
    grainMin: 15,
    bufferBeforeMin: 0,
    bufferAfterMin: 0,
    noticeMin: 0,
    urgentMin: 0,
    urgentReleaseHours: 0,
    exceptions: [],
    ...change,
  }
}
