/** What is written down while it is true, because nobody can know it afterwards, or because to count it takes long. */
import { and, eq, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { VisitMode } from '#lib/domain/calendar/supply.ts'
import type { ItemState, ReadinessItem } from '#lib/domain/readiness/items.ts'
import { type Db, rawRows } from '../client.ts'
import { readinessKept, waitsKept } from '../schema/index.ts'

export type KeptReadiness = {
  clinicId: string
  visitId: string
  forStartsAt: Temporal.Instant
  takenAt: Temporal.Instant
  worst: ItemState
  openItems: ReadinessItem[]
}

export type KeptWait = {
  clinicId: string
  /** yyyy-mm-dd in the clinic's zone. */
  onDate: string
  clinicianId: string
  mode: VisitMode
  takenAt: Temporal.Instant
  minutes: number
  days: number | null
  horizonDays: number
}

/** Another worker that was quicker has written the same. */
export async function keepReadinessRows(tx: Db, rows: readonly KeptReadiness[]): Promise<void> {
  if (rows.length > 0)
    await tx
      .insert(readinessKept)
      .values([...rows])
      .onConflictDoNothing()
}

export async function keepWaitRows(tx: Db, rows: readonly KeptWait[]): Promise<void> {
  if (rows.length > 0)
    await tx
      .insert(waitsKept)
      .values([...rows])
      .onConflictDoNothing()
}

export async function hasWaitsOf(db: Db, clinicId: string, onDate: string): Promise<boolean> {
  const rows = await db
    .select({ onDate: waitsKept.onDate })
    .from(waitsKept)
    .where(and(eq(waitsKept.clinicId, clinicId), eq(waitsKept.onDate, onDate)))
    .limit(1)
  return rows.length > 0
}

/** Days before `today`, from the clinic's first visit on, whose tries are not counted, the newest first (yyyy-mm-dd). */
export async function listUncountedDays(db: Db, clinicId: string, timeZone: string, today: string): Promise<string[]> {
  const rows = await rawRows<{ day: string }>(
    db,
    sql`select to_char(day, 'YYYY-MM-DD') as day
      from (select (min(starts_at) at time zone ${timeZone})::date::timestamp as first from visits where clinic_id = ${clinicId}) v,
        generate_series(v.first, ${today}::date - interval '1 day', interval '1 day') day
      where not exists (select from counted_days c where c.clinic_id = ${clinicId} and c.on_date = day::date)
      order by 1 desc`,
  )
  return rows.map(({ day }) => day)
}

/** Counts the tries of one day anew, in a transaction of its own. */
export async function countDay(db: Db, clinicId: string, day: string): Promise<void> {
  await db.execute(sql`select farstep_count_day(${clinicId}, ${day}::date)`)
}
