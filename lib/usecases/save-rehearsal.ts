/**
 * Keeps what one camera rehearsal found, and marks it on the booked visit: somebody has tried. What the picture lacked
 * stands beside it and clears or closes nothing.
 */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { insertMark } from '#db/queries/readiness.ts'
import { insertRehearsal } from '#db/queries/rehearsals.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type Advice, adviceFor } from '#lib/domain/rehearsal/advice.ts'
import { readingsSchema } from '#lib/domain/rehearsal/readings.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { setUpsAhead } from './steps/set-ups-ahead.ts'

export const saveRehearsalInput = z.object({ key: z.string().min(8).max(100), readings: readingsSchema })
export type SaveRehearsalInput = z.output<typeof saveRehearsalInput>

export type SavedRehearsal = { advice: Advice[] }
export type SaveRehearsalError = { code: 'referral_not_found' } | { code: 'no_such_set_up' } | Repeated

export async function saveRehearsal(
  ctx: Ctx,
  referralId: string,
  { key, readings }: SaveRehearsalInput,
): Promise<Result<SavedRehearsal, SaveRehearsalError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'readiness.confirm', { clinicId, referralId })) return err({ code: 'referral_not_found' })
  return once<SavedRehearsal, SaveRehearsalError>(ctx, { key, kind: 'save_rehearsal' }, async (tx) => {
    const { visit, setUps } = await setUpsAhead(tx, clinicId, referralId)
    const setUp = setUps.find(({ setUpId }) => setUpId === readings.setUpId)
    if (!setUp) return err({ code: 'no_such_set_up' })
    // The advice is worked out again: what a browser says of its own picture is kept as numbers, not as a verdict.
    const advice = adviceFor(readings, setUp.camera.orientation)
    const id = ctx.newId('reh')
    await insertRehearsal(tx, { clinicId, id, referralId, at: now, readings, advice })
    if (visit)
      await insertMark(tx, {
        id: ctx.newId('mrk'),
        actor: ctx.actor,
        visitId: visit.visitId,
        item: 'rehearsal',
        state: 'confirmed',
        at: now,
        forStartsAt: visit.startsAt,
      })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'rehearsal.done',
      subject: id,
      referralId,
      after: { setUpId: readings.setUpId, advice },
    })
    return ok({ advice })
  })
}
