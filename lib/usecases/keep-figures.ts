/**
 * Writes down what nobody can know afterwards: how ready each visit is a day before it starts, and once a day how long a
 * routine patient waits. Both change with every mark and every booking; the pages on what the clinic learns read them. And it
 * counts the tries of each day that is over, which those pages would else count one by one.
 */
import { listUnkeptVisits } from '#db/queries/board.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { countDay, hasWaitsOf, keepReadinessRows, keepWaitRows, listUncountedDays } from '#db/queries/kept-figures.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { listMarks } from '#db/queries/readiness.ts'
import { ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { toBoardVisit } from '#lib/domain/readiness/board-visit.ts'
import type { Ctx } from './context.ts'
import { workOutWaits } from './steps/work-out-waits.ts'

export type KeptFigures = { visits: number; waits: number; days: number }

/** As many visits as are read at a time. */
const BATCH = 200

/** Of the actor's clinic. Harmless to repeat: what was written down stays as it was. */
export async function keepFigures(ctx: Ctx): Promise<Result<KeptFigures, never>> {
  const now = ctx.now()
  const clinic = await getClinic(ctx.db, ctx.actor.clinicId)
  return ok({
    visits: await keepReadiness(ctx, clinic, now),
    waits: await keepWaits(ctx, clinic, now),
    days: await countDays(ctx, clinic, now),
  })
}

async function keepReadiness({ db }: Ctx, { id: clinicId, policy }: Clinic, now: Temporal.Instant): Promise<number> {
  let kept = 0
  for (;;) {
    const stored = await listUnkeptVisits(db, clinicId, now, BATCH)
    const ids = stored.map(({ visitId }) => visitId)
    const marks = await listMarks(db, clinicId, ids)
    const rows = []
    for (const visit of stored) {
      const protocol = await getProtocol(db, clinicId, visit.protocolId, visit.protocolVersion)
      const { worst, items } = toBoardVisit(visit, marks.get(visit.visitId) ?? [], protocol, policy.readiness, now)
      const openItems = items.filter(({ state }) => state !== 'done' && state !== 'not_needed').map(({ item }) => item)
      rows.push({ clinicId, visitId: visit.visitId, forStartsAt: visit.startsAt, takenAt: now, worst, openItems })
    }
    await keepReadinessRows(db, rows)
    kept += rows.length
    if (stored.length < BATCH) return kept
  }
}

/** Sampled once a day from the clinic's opening on, so that the days can be compared. */
async function keepWaits({ db }: Ctx, clinic: Clinic, now: Temporal.Instant): Promise<number> {
  const { id: clinicId, timeZone, policy } = clinic
  const local = now.toZonedDateTimeISO(timeZone)
  const onDate = local.toPlainDate().toString()
  const isOpen = Temporal.PlainTime.compare(local.toPlainTime(), policy.opensAt) >= 0
  if (!isOpen || (await hasWaitsOf(db, clinicId, onDate))) return 0
  const { lines, minutes, horizonDays } = await workOutWaits(db, clinic, now)
  await keepWaitRows(
    db,
    lines.map(({ clinicianId, mode, third }) => ({
      clinicId,
      onDate,
      clinicianId,
      mode,
      takenAt: now,
      minutes,
      days: third?.days ?? null,
      horizonDays,
    })),
  )
  return lines.length
}

/** A record that is signed late takes its day's count back; the next round counts it anew. */
async function countDays({ db }: Ctx, { id: clinicId, timeZone }: Clinic, now: Temporal.Instant): Promise<number> {
  const today = now.toZonedDateTimeISO(timeZone).toPlainDate().toString()
  const days = await listUncountedDays(db, clinicId, timeZone, today)
  for (const day of days) await countDay(db, clinicId, day)
  return days.length
}
