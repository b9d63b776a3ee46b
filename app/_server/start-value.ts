/** A start as one form value and back. What comes back is only asked for: the use case holds it against the calendar. */
import type { RelaxationKind } from '#lib/domain/calendar/demand.ts'
import { type AskedStart, askedStartInput } from '#lib/usecases/steps/claim-start.ts'
import type { OfferedStart } from '#lib/usecases/steps/search-starts.ts'

type Named = Pick<OfferedStart, 'sessionId' | 'clinicianId' | 'mode' | 'startsAt' | 'roomId' | 'interpreterId'>

/** Ids hold letters, digits, _ and -, so a comma can part them. */
export function startValue(start: Named): string {
  const { sessionId, clinicianId, mode, startsAt, roomId, interpreterId } = start
  return [startsAt, mode, sessionId, clinicianId, roomId ?? '', interpreterId ?? ''].join(',')
}

/** Null when it isn't one of ours, such as when nothing was chosen. */
export function readStart(
  value: FormDataEntryValue | null,
  released: readonly RelaxationKind[],
  because: FormDataEntryValue | null = null,
): AskedStart | null {
  if (typeof value !== 'string') return null
  const [startsAt, mode, sessionId, clinicianId, roomId, interpreterId] = value.split(',')
  const read = askedStartInput.safeParse({
    startsAt,
    mode,
    sessionId,
    clinicianId,
    roomId: roomId || null,
    interpreterId: interpreterId || null,
    released,
    because: because || null,
  })
  return read.success ? read.data : null
}
