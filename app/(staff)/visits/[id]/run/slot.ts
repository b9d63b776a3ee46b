/** The place of an entry on the run sheet: one form, one part of the page, at most one entry that waits. */
import type { RecordEntryInput } from '#lib/usecases/record-entry.ts'

export type What = RecordEntryInput['what']

/** Also the id of its part of the page. */
export function slotOf(what: What): string {
  switch (what.kind) {
    case 'check':
      return `check-${what.item}`
    case 'station':
      return `station-${what.stationId}-${what.side}`
    case 'stop':
      return 'safety'
  }
}
