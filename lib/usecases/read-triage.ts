/** What the triage form of one referral is opened with: the checklist, what is known already, and the limits that hold. */

import { asAnswers, listAnswers } from '#db/queries/answers.ts'
import { type Clinic, getClinic } from '#db/queries/clinics.ts'
import { findPatientOfReferral } from '#db/queries/patients.ts'
import { listCurrentProtocols } from '#db/queries/protocols.ts'
import { fullName } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Temporal } from '#lib/base/time.ts'
import { may } from '#lib/domain/access/policy.ts'
import { dueBy } from '#lib/domain/calendar/due.ts'
import { PRIORITIES, type Priority, type Stage } from '#lib/domain/desk/stages.ts'
import { conditionsCoded, triageQuestions } from '#lib/domain/desk/triage-questions.ts'
import type { Answers } from '#lib/domain/protocol/need.ts'
import type { Fact, FlagLevel, Protocol, SeeBy, Side } from '#lib/domain/protocol/schema.ts'
import type { Ctx } from './context.ts'

export type TriagePage = {
  timeZone: string
  referral: {
    id: string
    version: number
    stage: Stage
    isStopped: boolean
    name: string
    birthDate: string | null
    reason: string
    conditionText: string | null
    icd10: string[]
    receivedAt: string
    side: Side | null
    priority: Priority
    conditionId: string | null
    seeBy: string | null
  }
  /** Every protocol in force; the form is for the one chosen. */
  protocols: { id: string; title: string }[]
  protocolId: string
  isDemonstration: boolean
  questions: Fact[]
  flags: { title: string; level: FlagLevel; seeBy: SeeBy | null }[]
  conditions: { id: string; title: string; plain: string; inPersonWithin: SeeBy | null }[]
  /** By the referral's own codes. */
  suggested: { conditionId: string; title: string; code: string }[]
  answers: Answers
  /** When each urgency would have the patient seen, counted from the day the referral came. */
  limits: { priority: Priority; at: string }[]
}
export type ReadTriageError = { code: 'referral_not_found' } | { code: 'no_protocol' }

export async function readTriage(
  ctx: Ctx,
  { referralId, protocolId }: { referralId: string; protocolId: string | null },
): Promise<Result<TriagePage, ReadTriageError>> {
  const { clinicId } = ctx.actor
  if (!may(ctx.actor, 'triage.write', { clinicId, referralId })) return err({ code: 'referral_not_found' })
  const row = await findPatientOfReferral(ctx.db, clinicId, referralId)
  if (!row) return err({ code: 'referral_not_found' })
  const [clinic, protocols, answers] = await Promise.all([
    getClinic(ctx.db, clinicId),
    listCurrentProtocols(ctx.db, clinicId),
    listAnswers(ctx.db, clinicId, referralId),
  ])
  const { referral, patient } = row
  const protocol = choose(protocols, [protocolId, referral.protocolId], referral.icd10)
  if (!protocol) return err({ code: 'no_protocol' })
  return ok({
    timeZone: clinic.timeZone,
    referral: {
      id: referral.id,
      version: referral.version,
      stage: referral.stage,
      isStopped: referral.isStopped,
      name: fullName(patient),
      birthDate: patient.birthDate,
      reason: referral.reason,
      conditionText: referral.conditionText,
      icd10: referral.icd10,
      receivedAt: referral.receivedAt.toString(),
      side: referral.side,
      priority: referral.priority,
      conditionId: referral.conditionId,
      seeBy: referral.seeBy?.toString() ?? null,
    },
    protocols: protocols.map(({ id, title }) => ({ id, title: title.en })),
    protocolId: protocol.id,
    isDemonstration: protocol.demonstration,
    // The age is worked out from the date of birth; it is asked only while that is not known.
    questions: triageQuestions(protocol).filter(({ id }) => id !== 'age_years' || patient.birthDate === null),
    flags: protocol.redFlags.map(({ title, level, seeBy }) => ({ title, level, seeBy: seeBy ?? null })),
    conditions: protocol.conditions.map(({ id, title, plain, inPerson }) => ({
      id,
      title,
      plain: plain.en,
      inPersonWithin: inPerson?.seeBy ?? null,
    })),
    suggested: conditionsCoded(protocol.conditions, referral.icd10).map(({ condition, code }) => ({
      conditionId: condition.id,
      title: condition.title,
      code,
    })),
    answers: asAnswers(answers),
    limits: PRIORITIES.map((priority) => ({ priority, at: limitOf(priority, referral.receivedAt, clinic).toString() })),
  })
}

/** The one asked for, else the one in use, else one that knows the referral's codes, else the first. */
function choose(
  protocols: readonly Protocol[],
  wanted: readonly (string | null)[],
  icd10: readonly string[],
): Protocol | undefined {
  for (const id of wanted) {
    const found = protocols.find((protocol) => protocol.id === id)
    if (found) return found
  }
  return protocols.find(({ conditions }) => conditionsCoded(conditions, icd10).length > 0) ?? protocols[0]
}

function limitOf(priority: Priority, receivedAt: Temporal.Instant, clinic: Clinic): Temporal.Instant {
  const { policy, timeZone, holidays } = clinic
  return dueBy(policy.seeBy[priority], receivedAt, { timeZone, holidays, closesAt: policy.closesAt })
}
