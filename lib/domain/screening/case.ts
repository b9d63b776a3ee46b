/**
 * One case on paper: what a referral says and what a home check found, as a document that can be read, checked and
 * screened without a server or a database.
 *
 * The form is made from the protocol itself, so that a misspelt question or an impossible number is told at once and
 * can never pass for an answer that was not given.
 */
import { z } from 'zod'
import { Temporal } from '#lib/base/time.ts'
import { buildPlan, type PlanPolicy } from '../plan/build-plan.ts'
import type { ExamPlan } from '../plan/exam-plan.ts'
import type { Answer } from '../protocol/need.ts'
import { type Fact, type Protocol, SIDES, type Text } from '../protocol/schema.ts'
import { explain, reasonFor } from './explain.ts'
import { AGE_FACT, factsOf } from './facts-of.ts'
import { type ScreeningPolicy, screen } from './screen.ts'
import type { Screening } from './screening.ts'

/** The form of a case under one protocol: its conditions, and its questions with their kinds, units and limits. */
export function caseSchemaFor(protocol: Protocol) {
  const answers = z.strictObject(
    Object.fromEntries(protocol.facts.map((fact) => [fact.id, answerTo(fact).optional().describe(fact.label)])),
  )
  return z
    .strictObject({
      id: z.string().min(1).optional().describe('Given back with the answer, so that it can be found again.'),
      today: z.iso.date().describe('The day on which the case is looked at: ages are counted to it.'),
      referral: z.strictObject({
        condition: z.enum(protocol.conditions.map(({ id }) => id)),
        side: z.enum(SIDES),
        birthDate: z.iso.date().nullable(),
        answers: answers.default({}).describe('What the referral itself says.'),
      }),
      home: answers.default({}).describe('What the home check found. What was not asked is left out.'),
    })
    .superRefine(
      ({ today, referral, home }, { addIssue }) => {
        const fault = (path: string[], message: string) => addIssue({ code: 'custom', path, message })
        const { birthDate, answers: said } = referral
        if (birthDate !== null && birthDate > today) fault(['referral', 'birthDate'], 'is after today')
        if (birthDate !== null && AGE_FACT in said)
          fault(['referral', 'answers', AGE_FACT], 'the birth date says it already')
        for (const id of Object.keys(home)) {
          if (id in said) fault(['home', id], 'is answered under referral.answers already')
          else if (birthDate !== null && id === AGE_FACT) fault(['home', id], 'the birth date says it already')
        }
      },
      // Beside faults of the form too, so that all are mended in one go; only where there is nothing to hold together, not.
      {
        when: ({ value }) =>
          z.object({ referral: z.object({ answers: z.looseObject({}) }), home: z.looseObject({}) }).safeParse(value)
            .success,
      },
    )
}

function answerTo(fact: Fact): z.ZodType<Answer> {
  const notSure = z.literal('not_sure')
  if (fact.kind === 'yes_no') return z.union([z.boolean(), notSure], 'is not true, false or "not_sure"')
  const { min = Number.NEGATIVE_INFINITY, max = Number.POSITIVE_INFINITY, unit } = fact
  const fault = `is not a number of ${unit} from ${min} to ${max}, or "not_sure"`
  return z.union([z.number(fault).min(min, fault).max(max, fault), notSure], fault)
}

export type Case = z.output<ReturnType<typeof caseSchemaFor>>

/** What the engine says about one case. */
export type AssessedCase = {
  id: string | null
  screening: Screening
  /** Null when no station can be done at this home. */
  plan: ExamPlan | null
  why: { coordinator: string; patient: Text }
  /** Each station that is not sure to be done, with what closes it or is not known. */
  gaps: { stationId: string; title: string; because: string }[]
}

/** Screens one case and plans its exam. */
export function assessCase(
  { id, today, referral, home }: Case,
  protocol: Protocol,
  policy: { screening: ScreeningPolicy; visit: PlanPolicy },
): AssessedCase {
  const { condition: conditionId, side, birthDate } = referral
  const answers = Object.fromEntries(
    Object.entries({ ...referral.answers, ...home }).filter(
      (entry): entry is [string, Answer] => entry[1] !== undefined,
    ),
  )
  const facts = factsOf(answers, birthDate, Temporal.PlainDate.from(today))
  const screening = screen({ protocol, conditionId, side, facts, policy: policy.screening })
  const plan = buildPlan({ protocol, screening, side, policy: policy.visit })
  return {
    id: id ?? null,
    screening,
    plan: plan.steps.length > 0 ? plan : null,
    why: explain(screening, protocol),
    gaps: screening.stations
      .filter(({ can }) => can !== 'yes')
      .map((station) => ({
        stationId: station.stationId,
        title:
          protocol.stations.find(({ id: stationId }) => stationId === station.stationId)?.title ?? station.stationId,
        because: reasonFor(station, protocol),
      })),
  }
}
