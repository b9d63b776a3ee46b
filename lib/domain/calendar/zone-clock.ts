/**
 * What instant is a wall time in a zone, and the other way round? Temporal
 * answers both, but too slowly to ask for each of thousands of openings. A zone
 * clock asks it once for the offset changes in a range and then only adds.
 * Outside the range it asks Temporal, so the answer is always the same.
 *
 * Wall times are milliseconds, as though the wall clock were UTC. RFC 5545
 * 3.3.5: a wall time that does not exist takes the offset before the gap; one
 * that happens twice is the first. That is Temporal's 'compatible'.
 */
import { Temporal } from '#lib/base/time.ts'

export const MINUTE_MS = 60_000
export const DAY_MS = 86_400_000

/** The offsets of one zone between two instants. */
export type ZoneClock = {
  timeZone: string
  from: number
  to: number
  /** Instants at which the offset changes, ascending. */
  changes: readonly number[]
  /** Offsets in milliseconds, one more than `changes`. */
  offsets: readonly number[]
}

/** Reads a zone's offset changes between two instants. Throws RangeError when the zone is unknown. */
export function zoneClock(timeZone: string, from: number, to: number): ZoneClock {
  const changes: number[] = []
  let at = Temporal.Instant.fromEpochMilliseconds(from).toZonedDateTimeISO(timeZone)
  const offsets = [at.offsetNanoseconds / 1e6]
  for (;;) {
    const next = at.getTimeZoneTransition('next')
    if (!next || next.epochMilliseconds > to) return { timeZone, from, to, changes, offsets }
    changes.push(next.epochMilliseconds)
    offsets.push(next.offsetNanoseconds / 1e6)
    at = next
  }
}

/** Wall time to instant. */
export function toInstant(clock: ZoneClock, wall: number): number {
  if (wall < clock.from + DAY_MS || wall > clock.to - DAY_MS) {
    const utc = Temporal.Instant.fromEpochMilliseconds(wall).toZonedDateTimeISO('UTC')
    return utc.toPlainDateTime().toZonedDateTime(clock.timeZone).epochMilliseconds
  }
  let i = 0
  for (; i < clock.changes.length; i += 1) {
    const later = Math.max(clock.offsets[i] as number, clock.offsets[i + 1] as number)
    if (wall < (clock.changes[i] as number) + later) break
  }
  return wall - (clock.offsets[i] as number)
}

/** The edge of a stretch: as `toInstant`, but never or for ever where the wall time lies outside the clock's range. */
export function edgeInstant(clock: ZoneClock, wall: number): number {
  if (wall < clock.from + DAY_MS) return Number.NEGATIVE_INFINITY
  return wall > clock.to - DAY_MS ? Number.POSITIVE_INFINITY : toInstant(clock, wall)
}

/** Instant to wall time. */
export function toWall(clock: ZoneClock, instant: number): number {
  if (instant < clock.from || instant > clock.to) {
    const there = Temporal.Instant.fromEpochMilliseconds(instant).toZonedDateTimeISO(clock.timeZone)
    return instant + there.offsetNanoseconds / 1e6
  }
  let i = 0
  while (i < clock.changes.length && (clock.changes[i] as number) <= instant) i += 1
  return instant + (clock.offsets[i] as number)
}

/** Midnight of a yyyy-mm-dd date as wall time. */
export function wallOfDate(date: string): number {
  return Date.parse(`${date}T00:00:00Z`)
}

/** The yyyy-mm-dd date of a wall time. */
export function dateOfWall(wall: number): string {
  return new Date(wall).toISOString().slice(0, 10)
}

/** Milliseconds after midnight of an HH:MM time; '24:00' is the end of the day. */
export function wallOfTime(time: string): number {
  return (Number(time.slice(0, 2)) * 60 + Number(time.slice(3, 5))) * MINUTE_MS
}

/** 1 = Monday to 7 = Sunday (ISO 8601), of a wall time. */
export function weekdayOfWall(wall: number): number {
  return ((((Math.floor(wall / DAY_MS) + 3) % 7) + 7) % 7) + 1
}
