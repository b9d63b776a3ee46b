/** The exam as it will be done in one visit: ordered steps, their minutes and the helper's window. */
import type { Side } from '../protocol/schema.ts'

export type PlanStep = {
  stationId: string
  wayId: string
  setUpId: string
  sides: Side[]
  helper: boolean
  minutes: number
  /** Seconds to get from the previous step to this one. */
  transitionSec: number
  /** Minute of the visit at which the step begins, history included. */
  atMin: number
}

export type ExamPlan = {
  steps: PlanStep[]
  helperCalls: number
  transitionSec: number
  examMin: number
  /** History, exam and talk together, rounded up to the clinic's grain. */
  visitMin: number
  /** Minutes of the visit between which the helper is needed; null when nobody is. */
  helperWindow: { fromMin: number; toMin: number } | null
}
