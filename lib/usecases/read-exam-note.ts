/** The signed record of a visit as facts for its note. */
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
} from '#db/queries/outcomes.ts'
import { findPatientOfReferral } from '#db/queries/patients.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { invariant } from '#lib/base/invariant.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { NoteFacts } from '#lib/domain/outcomes/exam-note.ts'
import { turnsOf } from '#lib/domain/outcomes/record.ts'
import { CHECK_ITEMS } from '#lib/domain/outcomes/vocabulary.ts'
import type { Ctx } from './context.ts'

export const readExamNoteInput = z.object({ visitId: z.string() })
export type ReadExamNoteInput = z.output<typeof readExamNoteInput>
export type ExamNote = { facts: NoteFacts; timeZone: string }
export type ReadExamNoteError = { code: 'visit_not_found' } | { code: 'not_signed' }

export async function readExamNote(
  ctx: Ctx,
  { visitId }: ReadExamNoteInput,
): Promise<Result<ExamNote, ReadExamNoteError>> {
  const { clinicId } = ctx.actor
  const visit = await findVisitToShow(ctx.db, clinicId, visitId)
  // The patient's own page shows the packet; the note is the clinic's to give.
  if (
    !visit ||
    ctx.actor.kind === 'patient' ||
    !may(ctx.actor, 'visit.read', { clinicId, referralId: visit.referralId })
  )
    return err({ code: 'visit_not_found' })
  const record = await findRecord(ctx.db, clinicId, visitId)
  if (record?.signedAt == null || record.signedBy === null || record.outcome === null)
    return err({ code: 'not_signed' })
  const owner = await findPatientOfReferral(ctx.db, clinicId, visit.referralId)
  invariant(owner, 'a visit belongs to a patient')
  const clinic = await getClinic(ctx.db, clinicId)
  const protocol = await getProtocol(ctx.db, clinicId, visit.protocolId, visit.protocolVersion)
  const names = await namesOfStaff(ctx.db, clinicId)
  const nameOf = (id: string) => names.get(id) ?? (id === 'system' ? 'the system' : 'somebody who has left')
  const checks = await listChecks(ctx.db, clinicId, visitId)
  const rows = await listStationRows(ctx.db, clinicId, visitId)
  const followUp = await findFollowUp(ctx.db, clinicId, visitId)
  const added = await listAddenda(ctx.db, clinicId, visitId)
  const titleOf = (id: string) => protocol.stations.find((station) => station.id === id)?.title ?? id

  const facts: NoteFacts = {
    visit: {
      id: visitId,
      clinicianName: visit.clinicianName,
      mode: visit.mode,
      startsAt: (record.beganAt ?? visit.startsAt).toString(),
      endsAt: record.endedAt?.toString() ?? null,
      condition: protocol.conditions.find(({ id }) => id === visit.conditionId)?.title ?? visit.conditionId,
      side: visit.side,
    },
    patient: owner.patient,
    clinic,
    protocol,
    checks: CHECK_ITEMS.flatMap((item) => checks.filter((check) => check.item === item)),
    // In the order of the exam, whenever each was written.
    stations: turnsOf(visit.plan).flatMap(({ stationId, side }) =>
      rows
        .filter((row) => row.stationId === stationId && row.side === side)
        .map((row) => {
          const station = protocol.stations.find(({ id }) => id === stationId)
          const way = station?.ways.find(({ id }) => id === row.wayId)
          return {
            ...row,
            title: titleOf(stationId),
            wayMisses: way?.misses ?? null,
            measures: station?.measures ?? [],
          }
        }),
    ),
    outcome: record.outcome,
    note: record.note,
    stoppedAt: record.stoppedAt?.toString() ?? null,
    signed: { by: nameOf(record.signedBy), at: record.signedAt.toString() },
    followUp: followUp && {
      kind: followUp.kind,
      because: followUp.because,
      seeBy: followUp.seeBy?.toString() ?? null,
      stations: followUp.stations.map(titleOf),
    },
    addenda: added.map(({ id, text, by, at }) => ({ id, text, by: nameOf(by), at: at.toString() })),
  }
  return ok({ facts, timeZone: clinic.timeZone })
}
