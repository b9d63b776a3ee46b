/**
 * A choice among many as numbers: which columns are taken, at the least cost, so that every row keeps within its bounds.
 * Made here without knowing who solves it; the port says what a solver has to bring back, proof included.
 */

/** Bounds on how many of some columns are taken, each counted by its weight (1 where none is given). */
export type Row = { columns: readonly number[]; weights?: readonly number[]; atLeast: number; atMost: number }

/** Every column is taken or not; `startFrom` is a choice that keeps every row. Costs are whole numbers, so that a bound can prove an optimum. */
export type WholeProgram = { costs: readonly number[]; rows: readonly Row[]; startFrom: readonly number[] }

export type ProgramAnswer = {
  /** Columns that are taken. */
  taken: readonly number[]
  /** No choice costs less than this. */
  bound: number
}

/** Null where the solver found nothing within its time; a program without any choice that fits is a bug of ours. */
export type SolverPort = { solve(program: WholeProgram): Promise<ProgramAnswer | null> }

/** What a choice costs. */
export function costOf(program: Pick<WholeProgram, 'costs'>, taken: readonly number[]): number {
  return taken.reduce((sum, column) => sum + (program.costs[column] ?? 0), 0)
}

/** Whether the answer is as good as any: costs are whole, so nothing lies between the bound rounded up and the cost. */
export function isProven(program: Pick<WholeProgram, 'costs'>, { taken, bound }: ProgramAnswer): boolean {
  return Math.ceil(bound - 1e-6) >= costOf(program, taken)
}
