/** The next dates of a session as they stand on a page. */
import type { SessionDate } from '#lib/domain/calendar/next-dates.ts'
import { dateNoteWords, longDate } from '#lib/words/session-words.ts'
import type { ShownDate } from './shown-dates.tsx'

export function dateLines(dates: readonly SessionDate[]): ShownDate[] {
  return dates.map((date) => ({
    key: date.onDate,
    day: longDate(date.date),
    hours: `${date.opensAt} to ${date.closesAt}`,
    isOpen: date.isOpen,
    notes: date.notes.map((note) => dateNoteWords(note, date)),
  }))
}
