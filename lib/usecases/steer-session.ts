/**
 * Pauses a session, lets it go on, or ends it. A pause takes nothing new and keeps what is booked; an end takes the visits
 * after it too, so those are confirmed one by one.
 */
import { z } from 'zod'
import { recordAudit } from '#db/queries/audit.ts'
import { findSession, type KeptSession, updateSession } from '#db/queries/sessions.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Ctx } from './context.ts'
import { once, type Repeated } from './once.ts'
import { changeClinic, type NotSavedYet } from './steps/change-clinic.ts'
import { allAhead, freeTime } from './steps/free-time.ts'
import { concernedBy, type Meeting, meetingOf } from './steps/meeting-of.ts'

export const steerSessionInput = z.object({
  key: z.string().min(8),
  sessionId: z.string(),
  /** The version that was on the page. */
  version: z.coerce.number().int(),
  deed: z.discriminatedUnion('kind', [
    z.object({ kind: z.literal('pause') }),
    z.object({ kind: z.literal('resume') }),
    /** The last date on which it opens, yyyy-mm-dd in its own zone; yesterday ends it at once. */
    z.object({ kind: z.literal('end'), lastOn: z.iso.date() }),
  ]),
  isDryRun: z.boolean(),
  confirmed: z.array(z.string()),
})
export type SteerSessionInput = z.output<typeof steerSessionInput>
export type SteeredSession = { sessionId: string; status: KeptSession['status']; version: number }
type Refusal =
  | { code: 'not_found' }
  | { code: 'changed_meanwhile' }
  /** Only an active session is paused, only a paused one goes on, and what has ended stays ended. */
  | { code: 'not_possible_now' }
  | { code: 'last_date_is_past' }
  | ({ code: 'overlaps' } & Meeting)
export type SteerSessionError = Refusal | NotSavedYet | Repeated

export async function steerSession(
  ctx: Ctx,
  input: SteerSessionInput,
): Promise<Result<SteeredSession, SteerSessionError>> {
  const now = ctx.now()
  const { key, sessionId, version, deed } = input
  const { clinicId } = ctx.actor
  const seen = await findSession(ctx.db, clinicId, sessionId)
  if (!seen) return err({ code: 'not_found' })
  const { owner } = seen.session
  const clinicianId = owner.kind === 'clinician' ? owner.id : null
  if (!may(ctx.actor, 'session.write', { clinicId, clinicianId })) return err({ code: 'not_found' })

  return once<SteeredSession, Refusal | NotSavedYet>(ctx, { key, kind: 'steer_session' }, (tx) =>
    changeClinic<SteeredSession, Refusal>(tx, ctx, concernedBy(owner), input, async () => {
      const kept = await findSession(tx, clinicId, sessionId)
      if (!kept) return err({ code: 'not_found' })
      if (kept.version !== version) return err({ code: 'changed_meanwhile' })
      const next = after(kept, deed, now)
      if (!next.ok) return next
      const { status, validTo } = next.value
      const session = { ...kept.session, validTo }
      const meeting = deed.kind === 'resume' ? await meetingOf(tx, clinicId, session, now) : null
      if (meeting) return err({ code: 'overlaps', ...meeting })

      await updateSession(tx, clinicId, session, status)
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: `session.${{ pause: 'paused', resume: 'resumed', end: 'ended' }[deed.kind]}`,
        subject: sessionId,
        before: { status: kept.status, validTo: kept.session.validTo },
        after: { status, validTo },
      })
      if (deed.kind === 'resume' && clinicianId !== null) await freeTime(tx, ctx, await allAhead(tx, ctx, clinicianId))
      return ok({ sessionId, status, version: version + 1 })
    }),
  )
}

function after(
  { status, session }: KeptSession,
  deed: SteerSessionInput['deed'],
  now: Temporal.Instant,
): Result<{ status: KeptSession['status']; validTo: string | null }, Refusal> {
  const today = now.toZonedDateTimeISO(session.timeZone).toPlainDate()
  const isOver = status === 'ended' || (session.validTo !== null && session.validTo < today.toString())
  const { validTo } = session
  if (isOver) return err({ code: 'not_possible_now' })
  switch (deed.kind) {
    case 'pause':
      return status === 'active' ? ok({ status: 'paused', validTo }) : err({ code: 'not_possible_now' })
    case 'resume':
      return status === 'paused' ? ok({ status: 'active', validTo }) : err({ code: 'not_possible_now' })
    case 'end': {
      const { lastOn } = deed
      if (lastOn < today.subtract({ days: 1 }).toString()) return err({ code: 'last_date_is_past' })
      // One that ends before it has begun never opens; its dates stay as they were meant.
      if (lastOn < session.startsOn) return ok({ status: 'ended', validTo })
      const isAtOnce = lastOn < today.toString()
      return ok({ status: isAtOnce ? 'ended' : status, validTo: lastOn })
    }
  }
}
