/**
 * Column types that read the same on both drivers: PGlite and postgres.js disagree about dates unless the value
 * crosses as text. Instants are `timestamptz`; days and wall times carry no zone (the IANA zone is its own column).
 */
import { customType, text } from 'drizzle-orm/pg-core'
import { Temporal } from '#lib/base/time.ts'

/** A point in time: `timestamptz` in the table, `Temporal.Instant` in code. */
export const instant = customType<{ data: Temporal.Instant; driverData: string }>({
  dataType: () => 'timestamp with time zone',
  toDriver: (value) => value.toString(),
  fromDriver: (value) => Temporal.Instant.from(value),
})

/** A day of the calendar without a zone, such as a date of birth. */
export const plainDate = customType<{ data: Temporal.PlainDate; driverData: string }>({
  dataType: () => 'date',
  toDriver: (value) => value.toString(),
  fromDriver: (value) => Temporal.PlainDate.from(value),
})

/** A wall time to the minute. It means something only beside its zone. */
export const wallTime = customType<{ data: Temporal.PlainTime; driverData: string }>({
  dataType: () => 'time',
  toDriver: (value) => value.toString(),
  fromDriver: (value) => Temporal.PlainTime.from(value),
})

/** Text compared without case, such as an e-mail address (extension `citext`). */
export const caselessText = customType<{ data: string; driverData: string }>({ dataType: () => 'citext' })

/** An identifier: prefix, underscore, unguessable part (`ref_…`), made by the caller and never by the database. */
export const id = (name = 'id') => text(name)
