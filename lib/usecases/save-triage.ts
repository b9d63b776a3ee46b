/**
 * Triage of one referral: red flags, suspected condition, side, urgency, and from
 * them the time by which the patient must be seen.
 *
 * A person may bring that time forward, never push it past what urgency,
 * condition or a red flag allows. A flag at emergency level stops everything
 * until somebody has called and said so.
 */
import { z } from 'zod'
import type { Db } from '#db/client.ts'
import { asAnswers, listAnswers, upsertAnswers } from '#db/queries/answers.ts'
import { effectiveDisposition } from '#db/queries/assessments.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { getPatient } from '#db/queries/patients.ts'
import { listCurrentProtocols } from '#db/queries/protocols.ts'
import { findReferral, findReferralForUpdate, type Referral, updateReferral } from '#db/queries/referrals.ts'
import { invariant } from '#lib/base/invariant.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { type SeeByLimit, seeByLimits } from '#lib/domain/desk/see-by.ts'
import { PRIORITIES } from '#lib/domain/desk/stages.ts'
import { rawAnswer, triageQuestions } from '#lib/domain/desk/triage-questions.ts'
import { type AnswerFault, parseAnswer } from '#lib/domain/home/parse-answer.ts'
import { type Missing, missingFrom } from '#lib/domain/intake/referral-draft.ts'
import { messagesForHelp } from '#lib/domain/messages/schedule.ts'
import type { Answer, Answers } from '#lib/domain/protocol/need.ts'
import { type Protocol, SIDES } from '#lib/domain/protocol/schema.ts'
import { factsOf } from '#lib/domain/screening/facts-of.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'
import { assessReferral } from './steps/assess-referral.ts'
import { queueMessages } from './steps/queue-messages.ts'
import { refitVisit } from './steps/refit-visit.ts'

/** '' = not known. `shown` is what the form was opened with: only what was changed in it is written. */
const checklist = z.record(z.string(), z.object({ raw: z.string(), shown: z.string() }))

export const saveTriageInput = z.object({
  referralId: z.string(),
  /** The version that was on the page. */
  version: z.coerce.number().int(),
  protocolId: z.string(),
  conditionId: z.string(),
  side: z.enum(SIDES),
  priority: z.enum(PRIORITIES),
  checklist,
  /** A sooner day than the limits ask for; null = the tightest limit itself. */
  seeByOn: z.iso.date().nullable(),
})
export type SaveTriageInput = z.output<typeof saveTriageInput>

export type TriageValues = Pick<SaveTriageInput, 'protocolId' | 'conditionId' | 'side' | 'priority'> & {
  seeByOn: string | null
  answers: Answers
}
export type SavedTriage = {
  seeBy: string
  /** What sets the time; null when a person brought it forward. */
  seeByFrom: SeeByLimit['from'] | null
  missing: Missing[]
  isStopped: boolean
  disposition: Disposition
}
export type SaveTriageError =
  | { code: 'referral_not_found' }
  | { code: 'closed' }
  /** An emergency call comes first. */
  | { code: 'stopped' }
  | { code: 'protocol_not_offered' }
  | { code: 'condition_not_offered' }
  | { code: 'answers_refused'; faults: { factId: string; fault: AnswerFault }[] }
  | { code: 'see_by_too_late'; limit: string; from: SeeByLimit['from'] }
  | { code: 'see_by_in_past' }
  | { code: 'stale'; version: number; theirs: Partial<TriageValues>; yours: TriageValues }

export async function saveTriage(ctx: Ctx, input: SaveTriageInput): Promise<Result<SavedTriage, SaveTriageError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const { referralId, conditionId, side, priority } = input
  return inTransaction<SavedTriage, SaveTriageError>(ctx, async (tx) => {
    const referral = await findReferralForUpdate(tx, clinicId, referralId)
    if (!referral || !may(ctx.actor, 'triage.write', { clinicId, referralId }))
      return err({ code: 'referral_not_found' })
    if (referral.stage === 'closed') return err({ code: 'closed' })
    if (referral.isStopped) return err({ code: 'stopped' })
    const clinic = await getClinic(tx, clinicId)
    // The version in force: a referral triaged again is triaged by today's rules.
    const protocol = (await listCurrentProtocols(tx, clinicId)).find(({ id }) => id === input.protocolId)
    if (!protocol) return err({ code: 'protocol_not_offered' })
    if (!protocol.conditions.some(({ id }) => id === conditionId)) return err({ code: 'condition_not_offered' })
    const read = readChecklist(protocol, input.checklist)
    if (!read.ok) return err({ code: 'answers_refused', faults: read.error })

    const stood = asAnswers(await listAnswers(tx, clinicId, referralId))
    const isOverwritten = Object.keys(read.value).some(
      (factId) => rawAnswer(stood[factId]) !== input.checklist[factId]?.shown,
    )
    if (referral.version !== input.version || isOverwritten) {
      const theirs = valuesOf(referral, stood, protocol, clinic)
      const yours = {
        protocolId: protocol.id,
        conditionId,
        side,
        priority,
        seeByOn: input.seeByOn,
        answers: read.value,
      }
      return err({ code: 'stale', version: referral.version, theirs, yours })
    }

    const source = ctx.actor.kind === 'system' ? 'referral' : isClinician(ctx) ? 'clinician' : 'coordinator'
    const by = { clinicId, referralId, source, answeredBy: ctx.actor.id, answeredAt: now } as const
    const change = await upsertAnswers(tx, by, read.value)
    const patient = await getPatient(tx, clinicId, referral.patientId)
    const [limit] = await limitsNow(tx, ctx, {
      referral,
      birthDate: patient.birthDate,
      protocol,
      conditionId,
      priority,
      clinic,
    })
    const wished = input.seeByOn === null ? null : closingTime(input.seeByOn, clinic)
    if (wished !== null && Temporal.Instant.compare(wished, limit.at) > 0)
      return err({ code: 'see_by_too_late', limit: limit.at.toString(), from: limit.from })
    if (wished !== null && Temporal.Instant.compare(wished, now) <= 0) return err({ code: 'see_by_in_past' })
    const seeBy = wished ?? limit.at

    const set = { protocolId: protocol.id, protocolVersion: protocol.version, conditionId, side, priority, seeBy }
    const stage = referral.stage === 'received' ? 'triaged' : referral.stage
    await updateReferral(tx, clinicId, referralId, { ...set, stage })
    await recordAudit(tx, {
      id: ctx.newId('aud'),
      at: now,
      actor: ctx.actor,
      action: 'referral.triaged',
      subject: referralId,
      referralId,
      before: { ...triagedAs(referral), answers: change.before },
      after: { ...set, seeBy: seeBy.toString(), answers: change.after },
    })

    const assessment = await assessReferral(tx, ctx, referralId)
    invariant(assessment, 'a referral that was just triaged can be screened')
    await refitVisit(tx, ctx, referralId)
    const after = await findReferral(tx, clinicId, referralId)
    invariant(after?.seeBy, 'a triaged referral has a see-by time')
    if (after.isStopped && patient.email !== null)
      await queueMessages(tx, ctx, messagesForHelp({ referralId, assessmentId: assessment.id, now }))
    return ok({
      seeBy: after.seeBy.toString(),
      seeByFrom: wished !== null && Temporal.Instant.compare(wished, limit.at) < 0 ? null : limit.from,
      missing: missingFrom({ ...patient, side }),
      isStopped: after.isStopped,
      disposition: effectiveDisposition(assessment),
    })
  })
}

type LimitsOf = {
  referral: Pick<Referral, 'id' | 'receivedAt'>
  birthDate: string | null
  protocol: Protocol
  conditionId: string
  priority: SaveTriageInput['priority']
  clinic: Clinic
}

/** The limits that hold, tightest first, by the answers as they stand now. */
async function limitsNow(tx: Db, ctx: Ctx, { referral, birthDate, protocol, conditionId, priority, clinic }: LimitsOf) {
  const rows = await listAnswers(tx, ctx.actor.clinicId, referral.id)
  const today = ctx.now().toZonedDateTimeISO(clinic.timeZone).toPlainDate()
  return seeByLimits({
    priorityLimit: clinic.policy.seeBy[priority],
    receivedAt: referral.receivedAt,
    protocol,
    conditionId,
    facts: factsOf(asAnswers(rows), birthDate, today),
    knownSince: new Map(rows.map(({ factId, answeredAt }) => [factId, answeredAt])),
    clinic: { timeZone: clinic.timeZone, closesAt: clinic.policy.closesAt, holidays: clinic.holidays },
  })
}

/**
 * Only what was changed in the form. A question left at "not known" is not an answer, so it is asked of the patient
 * later; one that was answered and is taken back counts as asked and not known.
 */
function readChecklist(
  protocol: Protocol,
  given: SaveTriageInput['checklist'],
): Result<Answers, { factId: string; fault: AnswerFault }[]> {
  const answers: Record<string, Answer> = {}
  const faults: { factId: string; fault: AnswerFault }[] = []
  for (const fact of triageQuestions(protocol)) {
    const entry = given[fact.id]
    if (!entry || entry.raw === entry.shown) continue
    const parsed = parseAnswer(fact, entry.raw === '' ? 'not_sure' : entry.raw)
    if (parsed.ok) answers[fact.id] = parsed.value
    else faults.push({ factId: fact.id, fault: parsed.error })
  }
  return faults.length > 0 ? err(faults) : ok(answers)
}

function valuesOf(referral: Referral, stood: Answers, protocol: Protocol, clinic: Clinic): Partial<TriageValues> {
  const asked = triageQuestions(protocol).flatMap(({ id }) =>
    stood[id] === undefined ? [] : [[id, stood[id]] as const],
  )
  return {
    ...(referral.protocolId !== null && { protocolId: referral.protocolId }),
    ...(referral.conditionId !== null && { conditionId: referral.conditionId }),
    ...(referral.side !== null && { side: referral.side }),
    priority: referral.priority,
    seeByOn: referral.seeBy?.toZonedDateTimeISO(clinic.timeZone).toPlainDate().toString() ?? null,
    answers: Object.fromEntries(asked),
  }
}

function triagedAs({ protocolId, protocolVersion, conditionId, side, priority, seeBy }: Referral) {
  return { protocolId, protocolVersion, conditionId, side, priority, seeBy: seeBy?.toString() ?? null }
}

function closingTime(date: string, clinic: Clinic): Temporal.Instant {
  return Temporal.PlainDate.from(date)
    .toZonedDateTime({ timeZone: clinic.timeZone, plainTime: Temporal.PlainTime.from(clinic.policy.closesAt) })
    .toInstant()
}

function isClinician(ctx: Ctx): boolean {
  return ctx.actor.kind === 'staff' && ctx.actor.role === 'clinician'
}
