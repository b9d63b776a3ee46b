/** Puts days on the list of those on which the clinic is closed, changes one, or takes one off it. */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { type Holiday, listHolidays, writeHolidays } from '#db/queries/holidays.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { changeClinic, type NotSavedYet } from './steps/change-clinic.ts'

const holiday = z.object({ onDate: z.iso.date(), name: z.string().trim().min(1).max(120) })
export const changeHolidaysInput = z.object({
  key: z.string().min(8),
  /** Days as they stood on the page: one that somebody changed meanwhile is not taken off unseen. */
  off: z.array(holiday),
  on: z.array(holiday).max(60),
  isDryRun: z.boolean(),
  confirmed: z.array(z.string()),
})
export type ChangeHolidaysInput = z.output<typeof changeHolidaysInput>
export type ChangedHolidays = { off: number; on: number }
type Refusal =
  | { code: 'not_allowed' }
  | { code: 'changed_meanwhile' }
  /** This date is on the list already, under that name. */
  | { code: 'already_there'; holiday: Holiday }
export type ChangeHolidaysError = Refusal | NotSavedYet | Repeated

export async function changeHolidays(
  ctx: Ctx,
  input: ChangeHolidaysInput,
): Promise<Result<ChangedHolidays, ChangeHolidaysError>> {
  const now = ctx.now()
  const { key, off, on } = input
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'place.write', { clinicId })) return err({ code: 'not_allowed' })
  const repeatedDay = on.find((day, index) => on.some((other, at) => at < index && other.onDate === day.onDate))
  if (repeatedDay) return err({ code: 'already_there', holiday: repeatedDay })

  const dates = [...off, ...on].map(({ onDate }) => onDate)
  return once<ChangedHolidays, Refusal | NotSavedYet>(ctx, { key, kind: 'change_holidays' }, (tx) =>
    changeClinic<ChangedHolidays, Refusal>(tx, ctx, { dates }, input, async () => {
      const kept = new Map((await listHolidays(tx, clinicId)).map((day) => [day.onDate, day]))
      if (off.some(({ onDate, name }) => kept.get(onDate)?.name !== name)) return err({ code: 'changed_meanwhile' })
      for (const { onDate } of off) kept.delete(onDate)
      const there = on.map(({ onDate }) => kept.get(onDate)).find((day) => day !== undefined)
      if (there) return err({ code: 'already_there', holiday: there })

      await writeHolidays(tx, clinicId, { off: off.map(({ onDate }) => onDate), on })
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'holidays.changed',
        subject: clinicId,
        before: off,
        after: on,
      })
      return ok({ off: off.length, on: on.length })
    }),
  )
}
