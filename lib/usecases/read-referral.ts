/** Everything one referral's page shows: who, why, by when, what is next, and how it came to that. */

import { listAnswers } from '#db/queries/answers.ts'
import { effectiveDisposition, findNewestAssessment } from '#db/queries/assessments.ts'
import { listAudit } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { findPatientOfReferral } from '#db/queries/patients.ts'
import { listSites } from '#db/queries/places.ts'
import { getProtocol } from '#db/queries/protocols.ts'
import { listDesk, listMatchesOf, listMessagesOf, listVisitsOf, staffNames } from '#db/queries/referrals.ts'
import { listTasksOf } from '#db/queries/tasks.ts'
import { fullName } from '#lib/base/plain-text.ts'
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import { type Action, may } from '#lib/domain/access/policy.ts'
import { type Breach, readBreach } from '#lib/domain/booking/breach.ts'
import { deskState } from '#lib/domain/desk/desk-state.ts'
import { type NextStep, nextStep } from '#lib/domain/desk/next-step.ts'
import type { Priority, Stage, TaskKind } from '#lib/domain/desk/stages.ts'
import type { MatchReason } from '#lib/domain/intake/matching.ts'
import type { Missing } from '#lib/domain/intake/referral-draft.ts'
import type { MessageKind } from '#lib/domain/messages/kinds.ts'
import type { Answer, Unit } from '#lib/domain/protocol/need.ts'
import { AREAS, type Area, type FlagLevel, type Protocol, type Side, type Text } from '#lib/domain/protocol/schema.ts'
import { explain } from '#lib/domain/screening/explain.ts'
import type { Coverage, Disposition } from '#lib/domain/screening/screening.ts'
import type { Ctx } from './context.ts'
import { detailsOf, type PatientDetails } from './edit-patient.ts'

/** Somebody behind a deed: a name, or the patient, or the system. */
export type Who = { kind: 'staff' | 'patient' | 'system'; name: string | null }

export type ReferralPage = {
  timeZone: string
  clinic: { phone: string; emergencyNumber: string }
  referral: {
    id: string
    version: number
    stage: Stage
    source: 'typed' | 'csv' | 'fhir' | 'follow_up'
    externalId: string | null
    receivedAt: string
    referrerName: string | null
    referrerPhone: string | null
    reason: string
    icd10: string[]
    conditionText: string | null
    priority: Priority
    side: Side | null
    condition: string | null
    seeBy: string | null
    isLate: boolean
    isStopped: boolean
    closedBecause: string | null
  }
  patient: PatientDetails & { id: string; version: number }
  step: NextStep
  missing: Missing[]
  /** Where they may say they would rather come to. */
  sites: { id: string; name: string }[]
  tasks: {
    id: string
    kind: TaskKind
    flag: Flag | null
    /** Of a task that says there is no start in time. */
    breach: Breach | null
    openedAt: string
    dueAt: string | null
    done: { at: string; who: Who; note: string | null } | null
  }[]
  matches: Match[]
  answers: {
    factId: string
    label: string
    area: Area
    value: Answer
    unit: Unit | null
    source: string
    who: Who
    at: string
  }[]
  assessment: {
    at: string
    disposition: Disposition
    sentence: string
    patientSentence: Text
    coverage: Coverage
    flags: Flag[]
    overruled: { from: Disposition; because: string; who: Who } | null
  } | null
  visits: {
    id: string
    mode: 'video' | 'in_person'
    status: string
    startsAt: string
    endsAt: string
    patientTimeZone: string
  }[]
  messages: {
    id: string
    kind: MessageKind
    status: string
    dueAt: string
    sentAt: string | null
    fault: string | null
  }[]
  history: { id: string; at: string; who: Who; action: string; before: Detail; after: Detail }[]
  /** What the reader may do here. */
  may: {
    triage: boolean
    decideMatch: boolean
    editPatient: boolean
    close: boolean
    acknowledge: boolean
    invite: boolean
    book: boolean
  }
}
export type Flag = { flagId: string; title: string; level: FlagLevel; advice: Text }
export type Match = {
  candidateId: string
  name: string
  birthDate: string | null
  phone: string | null
  email: string | null
  place: string
  because: MatchReason[]
  decision: 'same' | 'different' | null
  decidedAt: string | null
  who: Who | null
}
/** Codes and values of an audit line; the words are made when it is shown. */
export type Detail = Readonly<Record<string, unknown>> | null
export type ReadReferralError = { code: 'referral_not_found' }

export async function readReferral(
  ctx: Ctx,
  { referralId }: { referralId: string },
): Promise<Result<ReferralPage, ReadReferralError>> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const { db } = ctx
  if (!may(ctx.actor, 'referral.read', { clinicId, referralId })) return err({ code: 'referral_not_found' })
  const [row, [deskRow]] = await Promise.all([
    findPatientOfReferral(db, clinicId, referralId),
    listDesk(db, clinicId, now, referralId),
  ])
  if (!row || !deskRow) return err({ code: 'referral_not_found' })
  const { referral, patient } = row
  const [clinic, answers, newest, tasks, matches, visits, messages, audit, sites] = await Promise.all([
    getClinic(db, clinicId),
    listAnswers(db, clinicId, referralId),
    findNewestAssessment(db, clinicId, referralId),
    listTasksOf(db, clinicId, referralId),
    listMatchesOf(db, clinicId, referralId),
    listVisitsOf(db, clinicId, referralId),
    listMessagesOf(db, clinicId, referralId),
    listAudit(db, clinicId, referralId),
    listSites(db, clinicId),
  ])
  const protocol =
    referral.protocolId !== null && referral.protocolVersion !== null
      ? await getProtocol(db, clinicId, referral.protocolId, referral.protocolVersion)
      : null
  const names = await staffNames(db, clinicId, [
    ...answers.map(({ answeredBy }) => answeredBy),
    ...tasks.flatMap(({ doneBy }) => doneBy ?? []),
    ...matches.flatMap(({ decidedBy }) => decidedBy ?? []),
    ...audit.map(({ actorId }) => actorId),
    ...(newest?.overruled ? [newest.overruled.by] : []),
  ])
  const who = (id: string): Who => {
    const name = names.get(id)
    if (name !== undefined) return { kind: 'staff', name }
    return { kind: id === 'system' ? 'system' : 'patient', name: null }
  }
  const flagOf = (flagId: unknown): Flag | null => {
    const flag = protocol?.redFlags.find(({ id }) => id === flagId)
    return flag ? { flagId: flag.id, title: flag.title, level: flag.level, advice: flag.advice } : null
  }

  const state = deskState(deskRow, clinic.policy)
  const can = (action: Action) => may(ctx.actor, action, { clinicId, referralId })
  const booked = visits.find(({ status }) => status === 'booked')
  return ok({
    timeZone: clinic.timeZone,
    clinic: { phone: clinic.phone, emergencyNumber: clinic.emergencyNumber },
    referral: {
      id: referral.id,
      version: referral.version,
      stage: referral.stage,
      source: referral.source,
      externalId: referral.externalId,
      receivedAt: referral.receivedAt.toString(),
      referrerName: referral.referrerName,
      referrerPhone: referral.referrerPhone,
      reason: referral.reason,
      icd10: referral.icd10,
      conditionText: referral.conditionText,
      priority: referral.priority,
      side: referral.side,
      condition: protocol?.conditions.find(({ id }) => id === referral.conditionId)?.title ?? null,
      seeBy: state.seeBy,
      isLate: referral.seeBy !== null && Temporal.Instant.compare(referral.seeBy, booked?.startsAt ?? now) < 0,
      isStopped: referral.isStopped,
      closedBecause: referral.closedBecause,
    },
    patient: { ...detailsOf(patient), id: patient.id, version: patient.version },
    step: nextStep(state, now),
    missing: [...state.missing],
    sites: sites.filter(({ isActive }) => isActive).map(({ id, name }) => ({ id, name })),
    tasks: tasks.map((task) => ({
      id: task.id,
      kind: task.kind,
      flag: flagOf((task.detail as { flagId?: unknown }).flagId),
      breach: task.kind === 'see_by_breach' ? readBreach(task.detail) : null,
      openedAt: task.openedAt.toString(),
      dueAt: task.dueAt?.toString() ?? null,
      done:
        task.doneAt && task.doneBy !== null
          ? { at: task.doneAt.toString(), who: who(task.doneBy), note: task.doneNote }
          : null,
    })),
    matches: matches.map((match) => ({
      candidateId: match.candidateId,
      name: fullName(match),
      birthDate: match.birthDate,
      phone: match.phone,
      email: match.email,
      place: [match.city, match.state].filter((part) => part !== null).join(', '),
      because: match.because as MatchReason[],
      decision: match.decision,
      decidedAt: match.decidedAt?.toString() ?? null,
      who: match.decidedBy === null ? null : who(match.decidedBy),
    })),
    answers: protocol === null ? [] : answersIn(protocol, answers, who),
    assessment:
      newest && protocol
        ? {
            at: newest.at.toString(),
            disposition: effectiveDisposition(newest),
            sentence: explain(newest.screening, protocol).coordinator,
            patientSentence: explain(newest.screening, protocol).patient,
            coverage: newest.screening.coverage,
            flags: newest.screening.raised.flatMap(({ flagId }) => flagOf(flagId) ?? []),
            overruled: newest.overruled && {
              from: newest.disposition,
              because: newest.overruled.because,
              who: who(newest.overruled.by),
            },
          }
        : null,
    visits: visits.map(({ startsAt, endsAt, ...visit }) => ({
      ...visit,
      startsAt: startsAt.toString(),
      endsAt: endsAt.toString(),
    })),
    messages: messages.map(({ dueAt, sentAt, ...message }) => ({
      ...message,
      dueAt: dueAt.toString(),
      sentAt: sentAt?.toString() ?? null,
    })),
    history: audit.map(({ id, at, actorKind, actorId, action, before, after }) => ({
      id,
      at: at.toString(),
      who: { kind: actorKind as Who['kind'], name: names.get(actorId) ?? null },
      action,
      before: before as Detail,
      after: after as Detail,
    })),
    may: {
      triage: can('triage.write'),
      decideMatch: can('match.decide'),
      editPatient: can('patient.edit'),
      close: can('referral.close'),
      acknowledge: can('task.acknowledge'),
      invite: can('check.invite'),
      book: can('visit.book'),
    },
  })
}

/** In the order of the home check; an answer to a question that this version no longer asks is left out. */
function answersIn(
  protocol: Protocol,
  rows: Awaited<ReturnType<typeof listAnswers>>,
  who: (id: string) => Who,
): ReferralPage['answers'] {
  const given = new Map(rows.map((row) => [row.factId, row]))
  return AREAS.flatMap((area) =>
    protocol.facts.flatMap((fact) => {
      const row = given.get(fact.id)
      if (fact.area !== area || !row) return []
      const { factId, value, source, answeredBy, answeredAt } = row
      return [
        {
          factId,
          label: fact.label,
          area,
          value,
          unit: fact.unit ?? null,
          source,
          who: who(answeredBy),
          at: answeredAt.toString(),
        },
      ]
    }),
  )
}
