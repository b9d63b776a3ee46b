/** A visit as it is run and signed: who and where, what is done in which order with which words, and what stands so far. */
import { z } from 'zod'
import { findVisitToShow } from '#db/queries/board.ts'
import { getClinic } from '#db/queries/clinics.ts'
import {
  findFollowUp,
  findRecord,
  listAddenda,
  listChecks,
  listStationRows,
  namesOfStaff,
  type StationRow,
} from '#db/queries/outcomes.ts'
import { findPatientOfReferral } from '#db/queries/patients.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { listVisitsOf } from '#db/queries/referrals.ts'
import { invariant } from '#lib/base/invariant.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { geometriesOf, type SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import { followUpLimit } from '#lib/domain/outcomes/next-step.ts'
import { checkFields, stationFields } from '#lib/domain/outcomes/read-entry.ts'
import { leftOver, mayRecord, openChecks, openTurns, revisionOf } from '#lib/domain/outcomes/record.ts'
import { sayEntry } from '#lib/domain/outcomes/say-entry.ts'
import { CHECK_ITEMS, type CheckItem, type FollowUp, type VisitOutcome } from '#lib/domain/outcomes/vocabulary.ts'
import type { Importance, Locale, Protocol, Side, Station, Way } from '#lib/domain/protocol/schema.ts'
import type { StoredVisit } from '#lib/domain/readiness/board-visit.ts'
import type { Ctx } from './context.ts'

export const readRunSheetInput = z.object({ visitId: z.string() })
export type ReadRunSheetInput = z.output<typeof readRunSheetInput>

/** What stands for something: as form fields, in words, and by whom. Version 0 = nothing yet. `at` is ISO. */
export type Stands = { version: number; fields: Record<string, string>; said: string; by: string; at: string }

export type RunStation = {
  station: Station
  way: Way
  helper: boolean
  minutes: number
  turns: { side: Side; stands: Stands | null }[]
}

export type RunSheet = {
  visit: Pick<
    StoredVisit,
    | 'visitId'
    | 'referralId'
    | 'mode'
    | 'status'
    | 'side'
    | 'clinicianName'
    | 'patientName'
    | 'patientPhone'
    | 'patientTimeZone'
    | 'placeAddress'
    | 'placeState'
    | 'callbackPhone'
    | 'contactName'
    | 'contactPhone'
    | 'helperName'
    | 'interpreterName'
  > & { startsAt: string; endsAt: string; condition: string }
  patient: { birthDate: string | null; language: Locale; consentedAt: string | null }
  clinic: { name: string; phone: string; emergencyNumber: string; timeZone: string }
  protocol: Pick<Protocol, 'id' | 'version' | 'demonstration'>
  checks: { item: CheckItem; stands: Stands | null }[]
  openChecks: CheckItem[]
  /** In the order of the exam, those that share a set-up together. */
  setUps: { setUpId: string; title: string; geometry: SetUpGeometry; stations: RunStation[] }[]
  open: { stationId: string; title: string; side: Side }[]
  left: { stationId: string; title: string; importance: Importance; why: 'planned' | 'closed' }[]
  /** Latest day of an in-person follow-up of all that is left, by outcome; yyyy-mm-dd. */
  followUpLimits: Record<'completed' | 'stopped_for_safety', string>
  record: {
    beganAt: string | null
    endedAt: string | null
    stoppedAt: string | null
    outcome: VisitOutcome | null
    note: string
    signed: { by: string; at: string } | null
  }
  followUp: { kind: FollowUp; because: string | null; seeBy: string | null; referralId: string | null } | null
  addenda: { id: string; text: string; by: string; at: string }[]
  revision: number
  hasOtherVisit: boolean
  /** Whether anything may be recorded yet, by the clock. */
  isOpenYet: boolean
  hasStarted: boolean
  may: { record: boolean; noShow: boolean; book: boolean }
}
export type ReadRunSheetError = { code: 'visit_not_found' }

export async function readRunSheet(
  ctx: Ctx,
  { visitId }: ReadRunSheetInput,
): Promise<Result<RunSheet, ReadRunSheetError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const visit = await findVisitToShow(ctx.db, clinicId, visitId)
  if (!visit || !may(ctx.actor, 'visit.read', { clinicId, referralId: visit.referralId }))
    return err({ code: 'visit_not_found' })
  const owner = await findPatientOfReferral(ctx.db, clinicId, visit.referralId)
  invariant(owner, 'a visit belongs to a patient')
  const clinic = await getClinic(ctx.db, clinicId)
  const protocol = await getProtocol(ctx.db, clinicId, visit.protocolId, visit.protocolVersion)
  const record = await findRecord(ctx.db, clinicId, visitId)
  const checks = await listChecks(ctx.db, clinicId, visitId)
  const rows = await listStationRows(ctx.db, clinicId, visitId)
  const followUp = await findFollowUp(ctx.db, clinicId, visitId)
  const added = await listAddenda(ctx.db, clinicId, visitId)
  const others = await listVisitsOf(ctx.db, clinicId, visit.referralId)
  const names = await namesOfStaff(ctx.db, clinicId)
  const nameOf = (id: string) => names.get(id) ?? (id === 'system' ? 'the system' : 'somebody who has left')
  const titleOf = (id: string) => protocol.stations.find((station) => station.id === id)?.title ?? id

  const left = leftOver(visit.plan, visit.mode === 'video' ? visit.screening : null, rows)
  const limitOf = (outcome: VisitOutcome) =>
    followUpLimit(outcome, left, now, clinic.policy, {
      timeZone: clinic.timeZone,
      closesAt: clinic.policy.closesAt,
      holidays: clinic.holidays,
    })
      .toZonedDateTimeISO(clinic.timeZone)
      .toPlainDate()
      .toString()
  const { language, birthDate } = owner.patient
  const target = { clinicId, referralId: visit.referralId, clinicianId: visit.clinicianId }
  return ok({
    visit: {
      ...visit,
      startsAt: visit.startsAt.toString(),
      endsAt: visit.endsAt.toString(),
      condition: protocol.conditions.find(({ id }) => id === visit.conditionId)?.title ?? visit.conditionId,
    },
    patient: {
      birthDate,
      language: language === 'es' ? 'es' : 'en',
      consentedAt: visit.consentedAt?.toString() ?? null,
    },
    clinic,
    protocol,
    checks: CHECK_ITEMS.map((item) => {
      const row = checks.find((each) => each.item === item)
      if (row === undefined) return { item, stands: null }
      const said = row.state === 'confirmed' ? 'Confirmed' : `Skipped: ${row.because ?? ''}`
      const by = nameOf(row.recordedBy)
      return {
        item,
        stands: { version: row.version, fields: checkFields(row), said, by, at: row.recordedAt.toString() },
      }
    }),
    openChecks: visit.mode === 'video' ? openChecks(checks) : [],
    setUps: setUpsOf(visit, protocol, rows, nameOf),
    open: openTurns(visit.plan, rows).map(({ stationId, side }) => ({ stationId, side, title: titleOf(stationId) })),
    left: left.map((each) => ({ ...each, title: titleOf(each.stationId) })),
    followUpLimits: { completed: limitOf('completed'), stopped_for_safety: limitOf('stopped_for_safety') },
    record: {
      beganAt: record?.beganAt?.toString() ?? null,
      endedAt: record?.endedAt?.toString() ?? null,
      stoppedAt: record?.stoppedAt?.toString() ?? null,
      outcome: record?.outcome ?? null,
      note: record?.note ?? '',
      signed:
        record?.signedBy && record.signedAt ? { by: nameOf(record.signedBy), at: record.signedAt.toString() } : null,
    },
    followUp: followUp && {
      kind: followUp.kind,
      because: followUp.because,
      seeBy: followUp.seeBy?.toString() ?? null,
      referralId: followUp.referralId,
    },
    addenda: added.map(({ id, text, by, at }) => ({ id, text, by: nameOf(by), at: at.toString() })),
    revision: revisionOf({ checks, stations: rows, isStopped: record?.stoppedAt != null }),
    hasOtherVisit: others.some(({ id, status }) => id !== visitId && status === 'booked'),
    isOpenYet: mayRecord(visit.startsAt, now),
    hasStarted: Temporal.Instant.compare(now, visit.startsAt) >= 0,
    may: {
      record: may(ctx.actor, 'outcome.write', target),
      noShow: may(ctx.actor, 'no_show.write', target),
      book: may(ctx.actor, 'visit.book', target),
    },
  })
}

function setUpsOf(
  visit: StoredVisit,
  protocol: Protocol,
  rows: readonly StationRow[],
  nameOf: (id: string) => string,
): RunSheet['setUps'] {
  const steps = visit.plan?.steps ?? []
  const ids = steps.map(({ setUpId }) => setUpId)
  const geometries = geometriesOf(protocol, ids, { facts: visit.screening?.facts ?? {}, side: visit.side })
  const groups: RunSheet['setUps'] = []
  for (const step of steps) {
    const station = protocol.stations.find(({ id }) => id === step.stationId)
    const way = station?.ways.find(({ id }) => id === step.wayId)
    const geometry = geometries.find(({ setUpId }) => setUpId === step.setUpId)
    invariant(station && way && geometry, 'a plan names stations, ways and set-ups of its protocol')
    const run: RunStation = {
      ...{ station, way, helper: step.helper, minutes: step.minutes },
      turns: step.sides.map((side) => {
        const row = rows.find((each) => each.stationId === step.stationId && each.side === side)
        return { side, stands: row === undefined ? null : standsOf(row, station, nameOf) }
      }),
    }
    const last = groups.at(-1)
    if (last?.setUpId === step.setUpId) last.stations.push(run)
    else groups.push({ setUpId: step.setUpId, title: geometry.title.en, geometry, stations: [run] })
  }
  return groups
}

function standsOf(row: StationRow, station: Station, nameOf: (id: string) => string): Stands {
  const said = sayEntry(row, station.measures ?? [])
  return {
    version: row.version,
    fields: stationFields(row),
    said,
    by: nameOf(row.recordedBy),
    at: row.recordedAt.toString(),
  }
}
