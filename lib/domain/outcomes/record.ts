/**
 * The record of a visit as it is written: what was planned, what came of it, what nobody got to, and what is left over.
 */
import { Temporal } from '#lib/base/time.ts'
import type { ExamPlan } from '../plan/exam-plan.ts'
import type { Importance, Side } from '../protocol/schema.ts'
import type { Screening } from '../screening/screening.ts'
import { CHECK_ITEMS, type CheckItem, type StationResult } from './vocabulary.ts'

/** One station on one side: what is done in one go and recorded in one entry. */
export type Turn = { stationId: string; side: Side; wayId: string }

/** Everything that was planned, in the order of the exam. */
export function turnsOf(plan: Pick<ExamPlan, 'steps'> | null): Turn[] {
  return (plan?.steps ?? []).flatMap(({ stationId, wayId, sides }) => sides.map((side) => ({ stationId, side, wayId })))
}

export type Recorded = { stationId: string; side: Side; result: StationResult }

/** Planned and without an entry. */
export function openTurns(plan: Pick<ExamPlan, 'steps'> | null, recorded: readonly Recorded[]): Turn[] {
  const known = new Set(recorded.map(({ stationId, side }) => `${stationId} ${side}`))
  return turnsOf(plan).filter(({ stationId, side }) => !known.has(`${stationId} ${side}`))
}

/** Checks that were neither confirmed nor skipped. Nothing is asked twice by a visit at the clinic. */
export function openChecks(checked: readonly { item: CheckItem }[]): CheckItem[] {
  return CHECK_ITEMS.filter((item) => !checked.some((each) => each.item === item))
}

/** planned: it was in the plan and was not done on some side. closed: the home did not allow it from the beginning. */
export type LeftOver = { stationId: string; importance: Importance; why: 'planned' | 'closed' }

/**
 * What the condition calls for and this visit did not show. A station counts as shown when it was done on every side that
 * was planned; an optional station that was never possible is no reason to come.
 */
export function leftOver(
  plan: Pick<ExamPlan, 'steps'> | null,
  screening: Pick<Screening, 'stations'> | null,
  recorded: readonly Recorded[],
): LeftOver[] {
  const isDone = ({ result }: Recorded) => result === 'done' || result === 'done_with_difficulty'
  const done = new Set(recorded.filter(isDone).map(({ stationId, side }) => `${stationId} ${side}`))
  const planned = new Map((plan?.steps ?? []).map(({ stationId, sides }) => [stationId, sides]))
  return (screening?.stations ?? []).flatMap(({ stationId, importance }): LeftOver[] => {
    const sides = planned.get(stationId)
    if (sides !== undefined)
      return sides.every((side) => done.has(`${stationId} ${side}`)) ? [] : [{ stationId, importance, why: 'planned' }]
    const isShown = recorded.some((each) => each.stationId === stationId && isDone(each))
    return isShown || importance === 'optional' ? [] : [{ stationId, importance, why: 'closed' }]
  })
}

/** Minutes before the start from which a record may be opened: patients come early. Common practice. */
const OPENS_MIN_BEFORE = 60

/** Whether anything may be recorded of a visit yet. */
export function mayRecord(startsAt: Temporal.Instant, now: Temporal.Instant): boolean {
  return Temporal.Instant.compare(now, startsAt.subtract({ minutes: OPENS_MIN_BEFORE })) >= 0
}

/** Rises with everything that is written, whoever writes it: what a page showed is told from what stands now. */
export function revisionOf(record: {
  checks: readonly { version: number }[]
  stations: readonly { version: number }[]
  isStopped: boolean
}): number {
  return [...record.checks, ...record.stations].reduce((sum, { version }) => sum + version, record.isStopped ? 1 : 0)
}
