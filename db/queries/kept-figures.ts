/** What is written down while it is true, because nobody can know it afterwards. Rows are only ever added. */
import { and, eq } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { VisitMode } from '#lib/domain/calendar/supply.ts'
import type { ItemState, ReadinessItem } from '#lib/domain/readiness/items.ts'
import type { Db } from '../client.ts'
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
