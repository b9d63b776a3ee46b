/** The readiness board of one day: every visit with its items, in the clinic's own zone. */
import { z } from 'zod'
import { listBoard } from '#db/queries/board.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { listMarks } from '#db/queries/readiness.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type BoardVisit, toBoardVisit } from '#lib/domain/readiness/board-visit.ts'
import type { Ctx } from './context.ts'

export const readBoardInput = z.object({ day: z.iso.date().nullable() })
export type ReadBoardInput = z.output<typeof readBoardInput>

export type Board = {
  /** yyyy-mm-dd in `timeZone`. */
  day: string
  today: string
  timeZone: string
  now: string
  visits: BoardVisit[]
}
export type ReadBoardError = { code: 'not_allowed' }

/** Without a day: today. */
export async function readBoard(ctx: Ctx, { day }: ReadBoardInput): Promise<Result<Board, ReadBoardError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'board.read')) return err({ code: 'not_allowed' })
  const { timeZone, policy } = await getClinic(ctx.db, clinicId)
  const today = now.toZonedDateTimeISO(timeZone).toPlainDate()
  const shown = day === null ? today : Temporal.PlainDate.from(day)
  const from = shown.toZonedDateTime(timeZone).toInstant()
  const to = shown.add({ days: 1 }).toZonedDateTime(timeZone).toInstant()

  const stored = await listBoard(ctx.db, clinicId, from, to)
  const marks = await listMarks(
    ctx.db,
    clinicId,
    stored.map((visit) => visit.visitId),
  )
  const visits: BoardVisit[] = []
  for (const visit of stored) {
    const protocol = await getProtocol(ctx.db, clinicId, visit.protocolId, visit.protocolVersion)
    visits.push(toBoardVisit(visit, marks.get(visit.visitId) ?? [], protocol, policy.readiness, now))
  }
  return ok({ day: shown.toString(), today: today.toString(), timeZone, now: now.toString(), visits })
}
