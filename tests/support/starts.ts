/** Starts of the small clinic, asked for by name. */
import { Temporal } from '#lib/base/time.ts'
import type { AskedStart } from '#lib/usecases/steps/claim-start.ts'

/** A video start with Ames on a Tuesday (ISO instant). */
export function asking(startsAt: string, change: Partial<AskedStart> = {}): AskedStart {
  return {
    sessionId: 'ses_ames_video',
    clinicianId: 'cli_ames',
    mode: 'video',
    startsAt: Temporal.Instant.from(startsAt),
    roomId: null,
    interpreterId: null,
    released: [],
    because: null,
    ...change,
  }
}

/** An in-person start with Ames on a Thursday (ISO instant). */
export function askingInPerson(startsAt: string, change: Partial<AskedStart> = {}): AskedStart {
  return asking(startsAt, { sessionId: 'ses_ames_site', mode: 'in_person', ...change })
}
