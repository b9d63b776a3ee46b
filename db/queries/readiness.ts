/** What people have said of a visit's readiness. Rows are only ever added; the latest of an item counts. */
import { and, desc, eq, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Actor } from '#lib/domain/access/actor.ts'
import type { ReadinessItem } from '#lib/domain/readiness/items.ts'
import type { Mark } from '#lib/domain/readiness/readiness.ts'
import type { Db } from '../client.ts'
import { isAmong, prepared } from '../prepared.ts'
import { readinessMarks, staff } from '../schema/index.ts'

export type NewMark = {
  id: string
  /** Who says so. */
  actor: Actor
  visitId: string
  item: ReadinessItem
  state: Mark['state']
  at: Temporal.Instant
  forStartsAt: Temporal.Instant
  note?: string | null
}

export async function insertMark(tx: Db, { actor, ...mark }: NewMark): Promise<void> {
  await tx.insert(readinessMarks).values({ ...mark, clinicId: actor.clinicId, by: actor.id, byKind: actor.kind })
}

/** The latest word on each item, by visit. */
export async function listMarks(db: Db, clinicId: string, visitIds: readonly string[]): Promise<Map<string, Mark[]>> {
  if (visitIds.length === 0) return new Map()
  const rows = await selectMarks(db, { clinicId, visitIds })
  return Map.groupBy(rows, (row) => row.visitId)
}

const selectMarks = prepared('marks_of_visits', (db) =>
  db
    .selectDistinctOn([readinessMarks.visitId, readinessMarks.item], {
      visitId: readinessMarks.visitId,
      item: readinessMarks.item,
      state: readinessMarks.state,
      at: readinessMarks.at,
      forStartsAt: readinessMarks.forStartsAt,
      saidBy: sql<string>`coalesce(${staff.name}, ${readinessMarks.byKind})`,
    })
    .from(readinessMarks)
    .leftJoin(staff, and(eq(staff.clinicId, readinessMarks.clinicId), eq(staff.id, readinessMarks.by)))
    .where(and(eq(readinessMarks.clinicId, sql.placeholder('clinicId')), isAmong(readinessMarks.visitId, 'visitIds')))
    .orderBy(readinessMarks.visitId, readinessMarks.item, desc(readinessMarks.at), desc(readinessMarks.id)),
)
