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
  fromDriver: (value) => Temporal.Instant.from(value),
})
