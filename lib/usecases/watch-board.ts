/** Which part of the calendar does somebody look at who looks at one day of the board? Asked before they may watch it. */
import { z } from 'zod'
import { getClinic } from '#db/queries/clinics.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'

export const watchBoardInput = z.object({ day: z.iso.date() })
export type WatchBoardInput = z.output<typeof watchBoardInput>

/** In milliseconds since 1970: [fromMs, toMs). */
export type WatchedBoard = { clinicId: string; fromMs: number; toMs: number }
export type WatchBoardError = { code: 'not_allowed' }

export async function watchBoard(ctx: Ctx, { day }: WatchBoardInput): Promise<Result<WatchedBoard, WatchBoardError>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'board.read')) return err({ code: 'not_allowed' })
  const { timeZone } = await getClinic(ctx.db, clinicId)
  const shown = Temporal.PlainDate.from(day)
  const from = shown.toZonedDateTime(timeZone)
  const to = shown.add({ days: 1 }).toZonedDateTime(timeZone)
  return ok({ clinicId, fromMs: from.epochMilliseconds, toMs: to.epochMilliseconds })
}
