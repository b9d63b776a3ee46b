/** The record of a visit: opened with the first entry, written entry by entry, locked by its signature. */
import { and, asc, eq, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { StationEntry } from '#lib/domain/outcomes/read-entry.ts'
import type { CheckItem, FollowUp, Reason, StationResult, VisitOutcome } from '#lib/domain/outcomes/vocabulary.ts'
import type { MeasureUnit, Side } from '#lib/domain/protocol/schema.ts'
import type { Db } from '../client.ts'
import { addenda, findings, followUps, staff, stationOutcomes, visitChecks, visitRecords } from '../schema/index.ts'
import { changeVisit } from './visits.ts'

export type VisitRecord = typeof visitRecords.$inferSelect
export type VisitCheck = typeof visitChecks.$inferSelect
export type Addendum = typeof addenda.$inferSelect
export type FollowUpRow = typeof followUps.$inferSelect

/** What stands for one station on one side, findings included. */
export type StationRow = Omit<StationEntry, 'result'> & {
  stationId: string
  side: Side
  wayId: string
  result: StationResult
  recordedBy: string
  recordedAt: Temporal.Instant
  version: number
}

export async function findRecord(db: Db, clinicId: string, visitId: string): Promise<VisitRecord | null> {
  const [row] = await db
    .select()
    .from(visitRecords)
    .where(and(eq(visitRecords.clinicId, clinicId), eq(visitRecords.visitId, visitId)))
  return row ?? null
}

/** Opens the record unless it is open, and locks it: entries and a signature of one visit wait for each other. */
export async function openRecord(
  tx: Db,
  clinicId: string,
  visitId: string,
  beganAt: Temporal.Instant,
): Promise<VisitRecord | null> {
  await tx.insert(visitRecords).values({ clinicId, visitId, beganAt }).onConflictDoNothing()
  return lockRecord(tx, clinicId, visitId)
}

/** The record, locked. */
export async function lockRecord(tx: Db, clinicId: string, visitId: string): Promise<VisitRecord | null> {
  const [row] = await tx
    .select()
    .from(visitRecords)
    .where(and(eq(visitRecords.clinicId, clinicId), eq(visitRecords.visitId, visitId)))
    .for('update')
  return row ?? null
}

export async function insertRecord(tx: Db, row: typeof visitRecords.$inferInsert): Promise<void> {
  await tx.insert(visitRecords).values(row)
}

export async function updateRecord(
  tx: Db,
  clinicId: string,
  visitId: string,
  change: Partial<typeof visitRecords.$inferInsert>,
): Promise<void> {
  await tx
    .update(visitRecords)
    .set({ ...change, version: sql`${visitRecords.version} + 1` })
    .where(and(eq(visitRecords.clinicId, clinicId), eq(visitRecords.visitId, visitId)))
}

export async function listChecks(db: Db, clinicId: string, visitId: string): Promise<VisitCheck[]> {
  return db
    .select()
    .from(visitChecks)
    .where(and(eq(visitChecks.clinicId, clinicId), eq(visitChecks.visitId, visitId)))
}

export async function upsertCheck(tx: Db, row: Omit<VisitCheck, 'version'> & { item: CheckItem }): Promise<void> {
  const { state, because, recordedBy, recordedAt } = row
  await tx
    .insert(visitChecks)
    .values(row)
    .onConflictDoUpdate({
      target: [visitChecks.clinicId, visitChecks.visitId, visitChecks.item],
      set: { state, because, recordedBy, recordedAt, version: sql`${visitChecks.version} + 1` },
    })
}

/** Everything that stands, findings beside each station. */
export async function listStationRows(db: Db, clinicId: string, visitId: string): Promise<StationRow[]> {
  const rows = await db
    .select()
    .from(stationOutcomes)
    .where(and(eq(stationOutcomes.clinicId, clinicId), eq(stationOutcomes.visitId, visitId)))
    .orderBy(asc(stationOutcomes.recordedAt), asc(stationOutcomes.stationId), asc(stationOutcomes.side))
  const found = await db
    .select()
    .from(findings)
    .where(and(eq(findings.clinicId, clinicId), eq(findings.visitId, visitId)))
  return rows.map((row) => {
    const own = found.filter(({ stationId, side }) => stationId === row.stationId && side === row.side)
    const judged = own.find(({ kind }) => kind !== 'measured')
    const values = own.flatMap(({ measureId, value }) => (value === null ? [] : [[measureId, value] as const]))
    const { stationId, side, wayId, result, reason, reasonText, recordedBy, recordedAt, version } = row
    return {
      ...{ stationId, side, wayId, result, reason, reasonText, recordedBy, recordedAt, version },
      judgement: judged === undefined || judged.kind === 'measured' ? null : judged.kind,
      text: judged?.text ?? null,
      values: Object.fromEntries(values),
    }
  })
}

export type StationToWrite = {
  clinicId: string
  visitId: string
  stationId: string
  side: Side
  wayId: string
  entry: StationEntry
  /** Unit of each measured value. */
  units: Readonly<Record<string, MeasureUnit>>
  recordedBy: string
  recordedAt: Temporal.Instant
}

/** Writes what stands for one station on one side, in the place of what stood there. */
export async function writeStation(tx: Db, { entry, units, ...row }: StationToWrite): Promise<void> {
  const { clinicId, visitId, stationId, side } = row
  const { result, reason, reasonText, judgement, text, values } = entry
  const { wayId, recordedBy, recordedAt } = row
  await tx
    .insert(stationOutcomes)
    .values({ ...row, result, reason, reasonText })
    .onConflictDoUpdate({
      target: [stationOutcomes.clinicId, stationOutcomes.visitId, stationOutcomes.stationId, stationOutcomes.side],
      set: {
        ...{ wayId, result, reason, reasonText, recordedBy, recordedAt },
        version: sql`${stationOutcomes.version} + 1`,
      },
    })
  const own = { clinicId, visitId, stationId, side }
  await tx
    .delete(findings)
    .where(
      and(
        eq(findings.clinicId, clinicId),
        eq(findings.visitId, visitId),
        eq(findings.stationId, stationId),
        eq(findings.side, side),
      ),
    )
  const measured = Object.entries(values).map(([measureId, value]) => ({
    ...own,
    measureId,
    kind: 'measured' as const,
    value,
    unit: units[measureId] ?? null,
    text: null,
  }))
  const judged = judgement === null ? [] : [{ ...own, measureId: '', kind: judgement, value: null, unit: null, text }]
  const all = [...judged, ...measured]
  if (all.length > 0) await tx.insert(findings).values(all)
}

/** What was planned and nobody got to, written when the record is signed. */
export async function insertUndone(
  tx: Db,
  rows: readonly {
    clinicId: string
    visitId: string
    stationId: string
    side: Side
    wayId: string
    result: 'not_reached' | 'not_possible'
    reason: Reason | null
    recordedBy: string
    recordedAt: Temporal.Instant
  }[],
): Promise<void> {
  if (rows.length > 0) await tx.insert(stationOutcomes).values([...rows])
}

export async function insertFollowUp(
  tx: Db,
  row: {
    clinicId: string
    visitId: string
    kind: FollowUp
    stations: string[]
    seeBy: Temporal.Instant | null
    because: string | null
    referralId: string | null
    decidedBy: string
    decidedAt: Temporal.Instant
  },
): Promise<void> {
  await tx.insert(followUps).values(row)
}

export async function findFollowUp(db: Db, clinicId: string, visitId: string): Promise<FollowUpRow | null> {
  const [row] = await db
    .select()
    .from(followUps)
    .where(and(eq(followUps.clinicId, clinicId), eq(followUps.visitId, visitId)))
  return row ?? null
}

export async function insertAddendum(tx: Db, row: typeof addenda.$inferInsert): Promise<void> {
  await tx.insert(addenda).values(row)
}

export async function listAddenda(db: Db, clinicId: string, visitId: string): Promise<Addendum[]> {
  return db
    .select()
    .from(addenda)
    .where(and(eq(addenda.clinicId, clinicId), eq(addenda.visitId, visitId)))
    .orderBy(asc(addenda.at), asc(addenda.id))
}

/** Says on the visit that it is over. */
export async function endVisit(
  tx: Db,
  clinicId: string,
  visitId: string,
  outcome: VisitOutcome,
  at: Temporal.Instant,
): Promise<void> {
  await changeVisit(tx, clinicId, visitId, at, { status: outcome === 'no_show' ? 'no_show' : 'done' })
}

/** Names of staff, to say who wrote what. */
export async function namesOfStaff(db: Db, clinicId: string): Promise<Map<string, string>> {
  const rows = await db.select({ id: staff.id, name: staff.name }).from(staff).where(eq(staff.clinicId, clinicId))
  return new Map(rows.map(({ id, name }) => [id, name]))
}
