/**
 * Saves answers to the exam's questions, one from a phone or many from a form
 * the coordinator fills in during a call. The flags are looked at after every
 * save: a raised one is screened at once and tells the coordinator, whatever is
 * still unanswered.
 */
import { z } from 'zod'
import { asAnswers, listAnswers, upsertAnswers } from '#db/queries/answers.ts'
import { findNewestAssessment, findReferralToScreen } from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findHomeCheck, saveHomeCheck } from '#db/queries/home-checks.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Actor } from '#lib/domain/access/actor.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type AnswerFault, asTyped, parseAnswer } from '#lib/domain/home/parse-answer.ts'
import type { Answer, Answers } from '#lib/domain/protocol/need.ts'
import type { FlagLevel } from '#lib/domain/protocol/schema.ts'
import { factsOf } from '#lib/domain/screening/facts-of.ts'
import { flagsRaised, questionsFor } from '#lib/domain/screening/home-check.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { assessReferral } from './steps/assess-referral.ts'
import { refitVisit } from './steps/refit-visit.ts'

export const answerQuestionsInput = z.object({
  referralId: z.string(),
  given: z
    .array(
      z.object({
        factId: z.string(),
        raw: z.string().max(200),
        unit: z.string().max(20).optional(),
        /** What the form was opened with (`asTyped`), where several people may fill in the same one. */
        shown: z.string().max(200).optional(),
      }),
    )
    .max(200),
})
export type AnswerQuestionsInput = z.output<typeof answerQuestionsInput>

export type AnsweredQuestions = {
  /** The gravest flag that these answers newly raised: the page to stop at. */
  stopAt: { flagId: string; level: FlagLevel } | null
  /** The next question without an answer; null = the exam's questions are done. */
  next: string | null
}
export type AnswerQuestionsError =
  | { code: 'referral_not_found' }
  | { code: 'not_triaged' }
  | { code: 'check_closed' }
  | { code: 'answers_refused'; faults: { factId: string; fault: AnswerFault }[] }
  /** Somebody else answered these since the form was opened. */
  | { code: 'changed_meanwhile'; now: { factId: string; answer: Answer | null }[] }
  /** A patient cannot take back a red flag by a second answer: only a person at the clinic who has spoken to them can. */
  | { code: 'raised_flag_stands'; flagId: string }

/** All of the answers are saved, or none; each fault names its question. */
export async function answerQuestions(
  ctx: Ctx,
  input: AnswerQuestionsInput,
): Promise<Result<AnsweredQuestions, AnswerQuestionsError>> {
  const now = ctx.now()
  const { referralId, given } = input
  const { clinicId } = ctx.actor
  return inTransaction<AnsweredQuestions, AnswerQuestionsError>(ctx, async (tx) => {
    const referral = await findReferralToScreen(tx, clinicId, referralId)
    if (!referral || !may(ctx.actor, 'check.answer', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    if (referral.stage === 'closed') return err({ code: 'check_closed' })
    if (referral.protocolId === null || referral.protocolVersion === null || referral.conditionId === null)
      return err({ code: 'not_triaged' })

    const protocol = await getProtocol(tx, clinicId, referral.protocolId, referral.protocolVersion)
    const parsed = given.map(({ factId, raw, unit }) => {
      const fact = protocol.facts.find((each) => each.id === factId)
      // Staff may answer everything; a patient only what is asked of patients.
      const isTheirs = fact !== undefined && (ctx.actor.kind !== 'patient' || fact.askedOf === 'patient')
      const result: Result<Answer, AnswerFault> = isTheirs
        ? parseAnswer(fact, raw, unit)
        : err({ code: 'answer_not_offered' })
      return { factId, result }
    })
    const faults = parsed.flatMap(({ factId, result }) => (result.ok ? [] : [{ factId, fault: result.error }]))
    if (faults.length > 0) return err({ code: 'answers_refused', faults })

    const values = Object.fromEntries(
      parsed.flatMap(({ factId, result }) => (result.ok ? [[factId, result.value]] : [])),
    )
    const stood = asAnswers(await listAnswers(tx, clinicId, referralId))
    const changed = given.filter(({ factId, shown }) => {
      const fact = protocol.facts.find((each) => each.id === factId)
      return (
        fact && shown !== undefined && asTyped(fact, stood[factId]).raw !== shown && stood[factId] !== values[factId]
      )
    })
    if (changed.length > 0) {
      const answerNow = changed.map(({ factId }) => ({ factId, answer: stood[factId] ?? null }))
      return err({ code: 'changed_meanwhile', now: answerNow })
    }
    const { timeZone } = await getClinic(tx, clinicId)
    const today = now.toZonedDateTimeISO(timeZone).toPlainDate()
    const raisedBy = (answers: Answers) => flagsRaised(protocol, factsOf(answers, referral.birthDate, today))
    const raisedThen = raisedBy({ ...stood, ...values })
    const taken = raisedBy(stood).find((flag) => !raisedThen.includes(flag))
    if (taken && ctx.actor.kind === 'patient') return err({ code: 'raised_flag_stands', flagId: taken.id })

    const by = { clinicId, referralId, source: sourceOf(ctx.actor), answeredBy: ctx.actor.id, answeredAt: now }
    const change = await upsertAnswers(tx, by, values)
    const isChanged = Object.keys(change.after).length > 0
    const answers = { ...stood, ...values }

    const check = await findHomeCheck(tx, clinicId, referralId)
    if (!check?.startedAt) await saveHomeCheck(tx, clinicId, referralId, { startedAt: now })
    if (isChanged) {
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: 'check.answered',
        subject: referralId,
        referralId,
        ...change,
      })
    }

    const seen = new Set(
      (await findNewestAssessment(tx, clinicId, referralId))?.screening.raised.map((flag) => flag.flagId),
    )
    const fresh = raisedThen.filter((flag) => !seen.has(flag.id))
    // Before the home check is finished only flags are worth a screening; afterwards every change is. A flag that staff
    // take back is screened too: were it raised again, it must be new.
    const isFlagChange = fresh.length > 0 || raisedThen.length !== seen.size
    if (isFlagChange || (isChanged && check?.finishedAt)) {
      await assessReferral(tx, ctx, referralId)
      await refitVisit(tx, ctx, referralId)
    }
    const [gravest] = fresh
    return ok({
      stopAt: gravest ? { flagId: gravest.id, level: gravest.level } : null,
      next:
        questionsFor(protocol, answers, referral.conditionId).find((fact) => answers[fact.id] === undefined)?.id ??
        null,
    })
  })
}

function sourceOf(actor: Actor): 'patient' | 'clinician' | 'coordinator' {
  if (actor.kind === 'patient') return 'patient'
  return actor.kind === 'staff' && actor.role === 'clinician' ? 'clinician' : 'coordinator'
}
