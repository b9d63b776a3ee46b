/**
 * What a version would have changed for the last referrals: each is screened again, from its answers as they are today,
 * by this version and by the one it is compared to. Nothing of it is written.
 */
import { listAnswersOf } from '#db/queries/answers.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { listTriagedBy } from '#db/queries/referrals.ts'
import { fullName } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { may } from '#lib/domain/access/policy.ts'
import type { Side } from '#lib/domain/protocol/schema.ts'
import { factsOf } from '#lib/domain/screening/facts-of.ts'
import { type CaseEffect, DIFFERENCES, type Effect, effectOf, effectOn } from '#lib/domain/versions/effect.ts'
import type { Ctx } from './context.ts'
import { readProtocol } from './read-protocol.ts'

export const MOST_REFERRALS = 200
/** Others are served between two of these. */
const AT_A_TIME = 5
/** No page keeps somebody waiting longer; what was reached by then is shown, and said to be a part. */
const LONGEST_MS = 8000

export type PatientEffect = CaseEffect & { patient: string; conditionId: string; side: Side }
export type ReadEffectInput = { id: string; version: number; last: number }
export type EffectView = {
  effect: Effect
  /** Those that differ: what is looked at first, then the less urgent, then the newest referral first. */
  changed: PatientEffect[]
  /** Of those screened again: nothing that is asked at home is answered, so nothing that hangs on it can differ. */
  unanswered: number
  asked: number
  isPart: boolean
}
export type ReadEffectError =
  | { code: 'not_allowed' }
  | { code: 'not_found' }
  | { code: 'nothing_to_compare' }
  | { code: 'has_faults' }

export async function readEffect(
  ctx: Ctx,
  { id, version, last }: ReadEffectInput,
): Promise<Result<EffectView, ReadEffectError>> {
  const { clinicId } = ctx.actor
  // The list names patients.
  if (!may(ctx.actor, 'screening.read', { clinicId })) return err({ code: 'not_allowed' })
  const read = await readProtocol(ctx, { id, version })
  if (!read.ok) return read
  const { protocol, base, faults } = read.value
  if (!base) return err({ code: 'nothing_to_compare' })
  if (faults.length > 0) return err({ code: 'has_faults' })
  const begun = ctx.now()
  const { policy, timeZone } = await getClinic(ctx.db, clinicId)
  const today = begun.toZonedDateTimeISO(timeZone).toPlainDate()
  const asked = Math.max(1, Math.min(Math.trunc(last), MOST_REFERRALS))
  const rows = await listTriagedBy(ctx.db, clinicId, id, asked)
  const answers = await listAnswersOf(
    ctx.db,
    clinicId,
    rows.map((row) => row.id),
  )
  const askedAtHome = base.facts.filter(({ askedOf }) => askedOf === 'patient').map(({ id: fact }) => fact)
  const effects: PatientEffect[] = []
  let unanswered = 0
  for (const [index, row] of rows.entries()) {
    if (index > 0 && index % AT_A_TIME === 0) await new Promise((resolve) => setImmediate(resolve))
    if (ctx.now().epochMilliseconds - begun.epochMilliseconds > LONGEST_MS) break
    if (row.conditionId === null || row.side === null) continue
    const answered = answers.get(row.id) ?? {}
    const { conditionId, side } = row
    const one = { id: row.id, conditionId, side, facts: factsOf(answered, row.birthDate, today) }
    if (!askedAtHome.some((fact) => fact in answered)) unanswered += 1
    effects.push({
      ...effectOn(one, base, protocol, policy),
      patient: fullName(row),
      conditionId,
      side,
    })
  }
  return ok({
    effect: effectOf(effects),
    changed: effects
      .filter(({ differs }) => differs !== null)
      .sort((a, b) => place(a) - place(b) || Number(b.isLessUrgent) - Number(a.isLessUrgent)),
    unanswered,
    asked,
    isPart: effects.length < rows.length,
  })
}

function place({ differs }: CaseEffect): number {
  return differs === null ? DIFFERENCES.length : DIFFERENCES.indexOf(differs)
}
