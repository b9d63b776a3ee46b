/**
 * Writes one entry of the run sheet: a check before the exam, what came of a station on one side, or a stop for safety. It
 * may have waited in a browser without a line: sent twice it is written once, and where somebody else wrote meanwhile both
 * are told and neither is lost.
 */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import {
  listChecks,
  listStationRows,
  namesOfStaff,
  updateRecord,
  upsertCheck,
  type VisitRecord,
  writeStation,
} from '#db/queries/outcomes.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { findReferralOfVisit } from '#db/queries/visits.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import {
  checkFields,
  type EntryFault,
  readCheckEntry,
  readStationEntry,
  stationFields,
} from '#lib/domain/outcomes/read-entry.ts'
import { turnsOf } from '#lib/domain/outcomes/record.ts'
import { sayEntry } from '#lib/domain/outcomes/say-entry.ts'
import { CHECK_ITEMS } from '#lib/domain/outcomes/vocabulary.ts'
import { SIDES } from '#lib/domain/protocol/schema.ts'
import type { StoredVisit } from '#lib/domain/readiness/board-visit.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { openTask } from './steps/open-task.ts'
import { type NotOpen, openToWrite } from './steps/open-to-write.ts'

const fields = z.record(z.string().max(60), z.string().max(2000))

export const recordEntryInput = z.object({
  visitId: z.string(),
  /** Made by the browser: the same entry sent twice is written once. */
  entryId: z.string().min(8).max(64),
  /** The version that was on the page; 0 = nothing was written yet. */
  base: z.coerce.number().int().min(0),
  what: z.discriminatedUnion('kind', [
    z.object({ kind: z.literal('check'), item: z.enum(CHECK_ITEMS), fields }),
    z.object({
      kind: z.literal('station'),
      stationId: z.string().max(60),
      side: z.enum(SIDES),
      wayId: z.string().max(60),
      fields,
    }),
    z.object({ kind: z.literal('stop'), fields }),
  ]),
})
export type RecordEntryInput = z.output<typeof recordEntryInput>

/** `version` of what stands now; `said` = it in words. */
export type RecordedEntry = { version: number; said: string }
/** What stands there, as its form has it and in words, by whom, and which version can be overwritten. `at` is ISO. */
export type Standing = { version: number; fields: Record<string, string>; said: string; by: string; at: string }
type Refusal =
  | NotOpen
  | { code: 'not_of_this_visit' }
  | { code: 'refused'; faults: EntryFault[] }
  /** Somebody else wrote since the page was read. */
  | { code: 'conflict'; standing: Standing }
export type RecordEntryError = Refusal | Repeated

export async function recordEntry(ctx: Ctx, input: RecordEntryInput): Promise<Result<RecordedEntry, RecordEntryError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const { visitId, entryId, what } = input
  const whose = await findReferralOfVisit(ctx.db, clinicId, visitId)
  if (!whose || !may(ctx.actor, 'outcome.write', { clinicId, ...whose })) return err({ code: 'visit_not_found' })

  const write = async (tx: Db): Promise<Result<RecordedEntry, Refusal>> => {
    const open = await openToWrite(tx, ctx, visitId)
    if (!open.ok) return open
    const { visit, record } = open.value
    switch (what.kind) {
      case 'check':
        return writeCheck(tx, ctx, visit, input, what, now)
      case 'station':
        return writeTurn(tx, ctx, visit, input, what, now)
      case 'stop':
        return writeStop(tx, ctx, visit, record, now)
    }
  }
  return once<RecordedEntry, Refusal>(ctx, { key: entryId, kind: 'record_entry' }, write, {
    visit_records_signed_kept: { code: 'signed' },
  })
}

type What<Kind> = Extract<RecordEntryInput['what'], { kind: Kind }>

async function writeCheck(
  tx: Db,
  ctx: Ctx,
  { visitId, referralId }: StoredVisit,
  { base }: RecordEntryInput,
  { item, fields }: What<'check'>,
  now: Temporal.Instant,
): Promise<Result<RecordedEntry, Refusal>> {
  const { clinicId } = ctx.actor
  const read = readCheckEntry(fields)
  if (!read.ok) return err({ code: 'refused', faults: read.error })
  const stood = (await listChecks(tx, clinicId, visitId)).find((check) => check.item === item)
  const said = sayCheck(read.value)
  if (stood && stood.version !== base) {
    if (sayCheck(stood) === said) return ok({ version: stood.version, said })
    return err({ code: 'conflict', standing: await standing(tx, clinicId, stood, checkFields(stood), sayCheck(stood)) })
  }
  await upsertCheck(tx, { clinicId, visitId, item, ...read.value, recordedBy: ctx.actor.id, recordedAt: now })
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: `visit.check_${read.value.state}`,
    subject: visitId,
    referralId,
    before: stood ? { item, state: stood.state, because: stood.because } : null,
    after: { item, ...read.value },
  })
  return ok({ version: (stood?.version ?? 0) + 1, said })
}

function sayCheck({ state, because }: { state: 'confirmed' | 'skipped'; because: string | null }): string {
  return (state === 'confirmed' ? 'Confirmed' : 'Skipped') + (because === null ? '' : `: ${because}`)
}

async function writeTurn(
  tx: Db,
  ctx: Ctx,
  visit: StoredVisit,
  { base }: RecordEntryInput,
  { stationId, side, wayId, fields }: What<'station'>,
  now: Temporal.Instant,
): Promise<Result<RecordedEntry, Refusal>> {
  const { clinicId } = ctx.actor
  const { visitId, referralId } = visit
  const protocol = await getProtocol(tx, clinicId, visit.protocolId, visit.protocolVersion)
  const station = protocol.stations.find(({ id }) => id === stationId)
  const isPlanned = turnsOf(visit.plan).some((turn) => turn.stationId === stationId && turn.side === side)
  if (!station?.ways.some(({ id }) => id === wayId) || !isPlanned) return err({ code: 'not_of_this_visit' })
  const measures = station.measures ?? []
  const read = readStationEntry(fields, measures)
  if (!read.ok) return err({ code: 'refused', faults: read.error })

  const stood = (await listStationRows(tx, clinicId, visitId)).find(
    (row) => row.stationId === stationId && row.side === side,
  )
  const said = sayEntry(read.value, measures)
  if (stood && stood.version !== base) {
    const saidThen = sayEntry(stood, measures)
    if (saidThen === said) return ok({ version: stood.version, said })
    return err({ code: 'conflict', standing: await standing(tx, clinicId, stood, stationFields(stood), saidThen) })
  }
  await writeStation(tx, {
    ...{ clinicId, visitId, stationId, side, wayId },
    entry: read.value,
    units: Object.fromEntries(measures.map(({ id, unit }) => [id, unit])),
    recordedBy: ctx.actor.id,
    recordedAt: now,
  })
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'visit.station_recorded',
    subject: visitId,
    referralId,
    before: stood ? { stationId, side, said: sayEntry(stood, measures) } : null,
    after: { stationId, side, wayId, ...read.value },
  })
  return ok({ version: (stood?.version ?? 0) + 1, said })
}

/** Written at once, whatever else is open; a second stop changes nothing. */
async function writeStop(
  tx: Db,
  ctx: Ctx,
  { visitId, referralId }: StoredVisit,
  record: VisitRecord,
  now: Temporal.Instant,
): Promise<Result<RecordedEntry, Refusal>> {
  const done = { version: 1, said: 'Stopped for safety' }
  if (record.stoppedAt !== null) return ok(done)
  await updateRecord(tx, ctx.actor.clinicId, visitId, { stoppedAt: now })
  await openTask(tx, ctx, {
    referralId,
    kind: 'safety_stop',
    dedupeKey: `safety_stop:${visitId}`,
    detail: { visitId },
    dueAt: now,
  })
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'visit.stopped',
    subject: visitId,
    referralId,
    after: { stoppedAt: now.toString() },
  })
  return ok(done)
}

async function standing(
  tx: Db,
  clinicId: string,
  row: { version: number; recordedBy: string; recordedAt: Temporal.Instant },
  fields: Record<string, string>,
  said: string,
): Promise<Standing> {
  const by = (await namesOfStaff(tx, clinicId)).get(row.recordedBy) ?? 'somebody else'
  return { version: row.version, fields, said, by, at: row.recordedAt.toString() }
}
