/**
 * Changes what visits are booked from (a session, a holiday, a person, a licence, a place), inside one transaction: what
 * the change takes from visits that are booked already is worked out from the rows themselves, before it and after it.
 * Nothing is saved until a person has confirmed exactly those visits, and each of them then gets its task.
 */
import type { Db } from '#db/client.ts'
import {
  type Concerned,
  loadClinicAsItIs,
  lockCalendar,
  lockVisitsAtStake,
  type VisitAtStake,
} from '#db/queries/at-stake.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { endTaskOf } from '#db/queries/tasks.ts'
import { err, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type Loss, lossesOf, newlyLost } from '#lib/domain/booking/stranded.ts'
import type { Ctx } from '../context.ts'
import { openTask } from './open-task.ts'

/** What a person has seen and agreed to: marks of visits, as `Effects` names them. */
export type Confirmation = { isDryRun: boolean; confirmed: readonly string[] }

export type StrandedVisit = {
  /** Names the visit as it was looked at: one that changed since has another mark. */
  mark: string
  visitId: string
  referralId: string
  /** Null for those who see no patient's record. */
  patientName: string | null
  clinicianName: string
  mode: 'video' | 'in_person'
  /** ISO instant. */
  startsAt: string
  losses: Loss[]
}
export type Effects = {
  stranded: StrandedVisit[]
  /** Starts that somebody is holding this minute and could no longer book. */
  heldCount: number
  /** Visits that had lost their place and have one again. */
  regainedCount: number
}

export type NotSavedYet =
  /** It was only looked at. */
  | { code: 'looked_at'; effects: Effects }
  /** Visits are stranded that nobody has confirmed. */
  | { code: 'not_confirmed'; effects: Effects }

/** The task of a visit that lost its place. */
export const strandedKey = (visitId: string) => `stranded:${visitId}`

/** Runs `write` between the two looks. `write` may refuse; nothing of it is kept then. */
export async function changeClinic<T, E>(
  tx: Db,
  ctx: Ctx,
  concerned: Concerned,
  { isDryRun, confirmed }: Confirmation,
  write: () => Promise<Result<T, E>>,
): Promise<Result<T, E | NotSavedYet>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  await lockCalendar(tx, clinicId, concerned)
  const visits = await lockVisitsAtStake(tx, clinicId, concerned, now)
  const look = async () => lossesOf(await loadClinicAsItIs(tx, clinicId, visits), visits)
  const before = visits.length === 0 ? new Map<string, Loss[]>() : await look()
  const written = await write()
  if (!written.ok) return written
  const after = visits.length === 0 ? new Map<string, Loss[]>() : await look()

  const lost = new Set(newlyLost(before, after))
  const booked = visits.filter(({ status }) => status === 'booked')
  const stranded = booked.filter(({ visitId }) => lost.has(visitId))
  const regained = booked.filter(({ visitId }) => before.has(visitId) && !after.has(visitId))
  const shown = stranded.map((visit) => show(ctx, visit, after.get(visit.visitId) ?? []))
  const effects: Effects = {
    stranded: shown,
    heldCount: visits.filter(({ visitId, status }) => status === 'held' && lost.has(visitId)).length,
    regainedCount: regained.length,
  }
  if (isDryRun) return err({ code: 'looked_at', effects })
  const marks = new Set(confirmed)
  if (marks.size !== shown.length || shown.some(({ mark }) => !marks.has(mark)))
    return err({ code: 'not_confirmed', effects })

  const done = { at: now, by: ctx.actor.id, note: null }
  for (const { visitId, referralId, startsAt, sessionId } of stranded) {
    await endTaskOf(tx, clinicId, referralId, strandedKey(visitId), done)
    await openTask(tx, ctx, {
      referralId,
      kind: 'stranded',
      dedupeKey: strandedKey(visitId),
      detail: { visitId, sessionId, reasons: after.get(visitId) ?? [] },
      dueAt: startsAt,
    })
  }
  for (const { visitId, referralId } of regained) {
    await endTaskOf(tx, clinicId, referralId, strandedKey(visitId), done)
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'visit.fits_again',
      subject: visitId,
      referralId,
      before: { losses: before.get(visitId) },
    })
  }
  return written
}

function show(ctx: Ctx, visit: VisitAtStake, losses: Loss[]): StrandedVisit {
  const { visitId, referralId, version, patientName, clinicianName, mode, startsAt } = visit
  const mayKnow = may(ctx.actor, 'visit.read', { clinicId: ctx.actor.clinicId, referralId })
  return {
    mark: `${visitId}.${version}`,
    visitId,
    referralId,
    patientName: mayKnow ? patientName : null,
    clinicianName,
    mode,
    startsAt: startsAt.toString(),
    losses,
  }
}
