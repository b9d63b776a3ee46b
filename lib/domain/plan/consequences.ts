/** What comes of a changed exam plan, told before anything is saved. */
import type { RefitReason } from '../booking/refit.ts'
import type { ExamPlan } from './exam-plan.ts'

export type Consequences = {
  added: string[]
  leftOut: string[]
  /** Stations that stay, in another way. */
  changedWay: string[]
  bookedMin: number
  /** Minutes the whole visit needs, as chosen. */
  needsMin: number
  /** Minutes of the visit between which the helper is needed; null = nobody is. */
  helperBefore: ExamPlan['helperWindow']
  helperAfter: ExamPlan['helperWindow']
  /** Why the visit would no longer fit; a task asks the desk to settle it. */
  reasons: RefitReason[]
}

/** `chosen` null = nothing would be left to do. */
export function consequencesOf(
  before: ExamPlan | null,
  chosen: ExamPlan | null,
  bookedMin: number,
  reasons: readonly RefitReason[],
): Consequences {
  const was = new Map(before?.steps.map((step) => [step.stationId, step.wayId]))
  const will = new Map(chosen?.steps.map((step) => [step.stationId, step.wayId]))
  return {
    added: [...will.keys()].filter((id) => !was.has(id)),
    leftOut: [...was.keys()].filter((id) => !will.has(id)),
    changedWay: [...will].filter(([id, wayId]) => was.has(id) && was.get(id) !== wayId).map(([id]) => id),
    bookedMin,
    needsMin: chosen?.visitMin ?? 0,
    helperBefore: before?.helperWindow ?? null,
    helperAfter: chosen?.helperWindow ?? null,
    reasons: [...reasons],
  }
}

/** Whether the visit becomes another one for the patient, so that a new packet goes out. */
export function changesAnything({ added, leftOut, changedWay }: Consequences): boolean {
  return added.length + leftOut.length + changedWay.length > 0
}
