/** Referrals of the small clinic whose home check is still open, and answers by the people who give them. */
import { and, eq } from 'drizzle-orm'
import type { Db } from '#db/client.ts'
import { homeChecks } from '#db/schema/index.ts'
import type { Actor } from '#lib/domain/access/actor.ts'
import type { Answers } from '#lib/domain/protocol/need.ts'
import { answerQuestions } from '#lib/usecases/answer-questions.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { addReferral, CLINIC, contextFor, type NewReferral, NOW, patientOf } from './clinic.ts'

let contexts = 0

/** Somebody at a time of their own; ids never meet those of another context. */
export function as(db: Db, actor: Actor, now = NOW): Ctx {
  contexts += 1
  return contextFor(db, { actor, now, ids: `_${contexts}` })
}

/** Triaged, with nothing asked yet unless `answers` say so. */
export async function addUnasked(db: Db, options: NewReferral): Promise<void> {
  await addReferral(db, { answers: {}, ...options })
  await db.delete(homeChecks).where(and(eq(homeChecks.clinicId, CLINIC), eq(homeChecks.referralId, options.id)))
}

/** Answers as they are typed: true is yes, a number is in the protocol's own unit. */
export function answering(db: Db, referralId: string, answers: Answers, options: { actor?: Actor; now?: string } = {}) {
  const { actor = patientOf(referralId), now } = options
  const raw = (value: Answers[string]) => (typeof value === 'boolean' ? (value ? 'yes' : 'no') : String(value))
  return answerQuestions(as(db, actor, now), {
    referralId,
    given: Object.entries(answers).map(([factId, value]) => ({ factId, raw: raw(value) })),
  })
}
