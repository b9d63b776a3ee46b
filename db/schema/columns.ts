/**
 * The column type that reads the same on both drivers: PGlite and node-postgres disagree about instants unless they cross
 * as text. Days and wall times are plain text by nature, and their IANA zone is a column of its own.
 */
import { customType } from 'drizzle-orm/pg-core'
import { Temporal } from '#lib/base/time.ts'

/** A point in time: `timestamptz` in the table, `Temporal.Instant` in code. */
export const instant = customType<{ data: Temporal.Instant; driverData: string }>({
  dataType: () => 'timestamp with time zone',
  toDriver: (value) => value.toString(),
  fromDriver: readInstant,
})

/** As both drivers write it, their sessions being in UTC, unless there are microseconds. */
const WRITTEN_TO_MS = /^(\d{4}-\d\d-\d\d) (\d\d:\d\d:\d\d(?:\.\d{1,3})?)\+00$/

/** Reads what has milliseconds at most by way of `Date`, a third of the time that the whole grammar takes. */
export function readInstant(written: string): Temporal.Instant {
  const [, day, clock] = WRITTEN_TO_MS.exec(written) ?? []
  return day === undefined
    ? Temporal.Instant.from(written)
    : Temporal.Instant.fromEpochMilliseconds(Date.parse(`${day}T${clock}Z`))
}
