/** The desk: every open referral, grouped by what has to happen next, in two queries however many there are. */

import { getClinic } from '#db/queries/clinics.ts'
import { listCurrentProtocols } from '#db/queries/protocols.ts'
import { type DeskRow, listDesk } from '#db/queries/referrals.ts'
import { fullName } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type Breach, readBreach } from '#lib/domain/booking/breach.ts'
import { deskState } from '#lib/domain/desk/desk-state.ts'
import { type DeskState, groupDesk, type NextStep } from '#lib/domain/desk/next-step.ts'
import type { Side } from '#lib/domain/protocol/schema.ts'
import type { Ctx } from './context.ts'

/** One step, or only what is past its see-by time. Never a name: it would stand in the address. */
export type ReadDeskInput = { show: NextStep | 'late' | null }

export type DeskLine = {
  referralId: string
  name: string
  condition: string | null
  side: Side | null
  reason: string
  seeBy: string | null
  isLate: boolean
  receivedAt: string
  step: NextStep
  visitStartsAt: string | null
  missing: DeskState['missing']
  /** No start in time. */
  breach: Breach | null
  isStopped: boolean
}
export type Desk = {
  timeZone: string
  /** Of everything open, whatever is shown. */
  counts: { open: number; late: number; byStep: Partial<Record<NextStep, number>> }
  groups: { step: NextStep; lines: DeskLine[] }[]
}
export type ReadDeskError = { code: 'not_allowed' }

export async function readDesk(ctx: Ctx, { show }: ReadDeskInput): Promise<Result<Desk, ReadDeskError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'referral.read', { clinicId })) return err({ code: 'not_allowed' })
  const clinic = await getClinic(ctx.db, clinicId)
  const protocols = await listCurrentProtocols(ctx.db, clinicId)
  const rows = await listDesk(ctx.db, clinicId, now)

  const conditions = new Map(
    protocols.flatMap(({ id, conditions }) => conditions.map((one) => [`${id} ${one.id}`, one.title])),
  )
  const byId = new Map(rows.map((row) => [row.id, row]))
  const groups = groupDesk(
    rows.map((row) => deskState(row, clinic.policy)),
    now,
  ).map(({ step, rows: states }) => ({
    step,
    lines: states.flatMap((state) => {
      const row = byId.get(state.referralId)
      return row ? [lineOf(row, state, step, conditions, now)] : []
    }),
  }))

  const all = groups.flatMap(({ lines }) => lines)
  const isShown = (line: DeskLine) => show === null || (show === 'late' ? line.isLate : line.step === show)
  return ok({
    timeZone: clinic.timeZone,
    counts: {
      open: all.length,
      late: all.filter(({ isLate }) => isLate).length,
      byStep: Object.fromEntries(groups.map(({ step, lines }) => [step, lines.length])),
    },
    groups: groups.flatMap(({ step, lines }) => {
      const shown = lines.filter(isShown)
      return shown.length > 0 ? [{ step, lines: shown }] : []
    }),
  })
}

function lineOf(
  row: DeskRow,
  state: DeskState,
  step: NextStep,
  conditions: Map<string, string>,
  now: Temporal.Instant,
): DeskLine {
  // Booked before its see-by time is in time, however late the day is.
  const reachedBy = state.visit?.status === 'booked' && row.visitStartsAt ? row.visitStartsAt : now
  return {
    referralId: row.id,
    name: fullName(row),
    condition: conditions.get(`${row.protocolId} ${row.conditionId}`) ?? row.conditionText,
    side: row.side,
    reason: row.reason,
    seeBy: state.seeBy,
    isLate: row.seeBy !== null && Temporal.Instant.compare(row.seeBy, reachedBy) < 0,
    receivedAt: state.receivedAt,
    step,
    visitStartsAt: row.visitStartsAt?.toString() ?? null,
    missing: state.missing,
    breach: readBreach(row.breach),
    isStopped: row.isStopped,
  }
}
