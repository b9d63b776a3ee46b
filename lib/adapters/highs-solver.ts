/** Solves whole-number programs with HiGHS, compiled to WebAssembly: exact, in this process, without a service. */
import loadHighs, { type Highs } from 'highs'
import type { ProgramAnswer, SolverPort, WholeProgram } from '#lib/domain/replacement/program.ts'

/** Costs are whole, so an answer less than one away from its bound is the best there is. */
const OPTIONS = { output_flag: false, mip_rel_gap: 0, mip_abs_gap: 0.99, random_seed: 1 } as const

/** Nearer to a whole number than the solver's own tolerance tells apart. */
const WHOLE = 1e-6

let loading: Promise<Highs> | null = null

/** The solver; loaded once a process, when it is first needed. It stops after so many seconds with the best it has. */
export function highsSolver(limits: { seconds: number } = { seconds: 10 }): SolverPort {
  return {
    async solve(program) {
      loading ??= loadHighs()
      return run(await loading, program, limits.seconds)
    },
  }
}

function run(highs: Highs, { costs, rows, startFrom }: WholeProgram, seconds: number): ProgramAnswer | null {
  const starts = [0]
  for (const { columns } of rows) starts.push((starts.at(-1) ?? 0) + columns.length)
  const relaxed = {
    numCols: costs.length,
    numRows: rows.length,
    colCost: costs,
    colLower: costs.map(() => 0),
    colUpper: costs.map(() => 1),
    rowLower: rows.map(({ atLeast }) => atLeast),
    rowUpper: rows.map(({ atMost }) => atMost),
    matrix: {
      format: 'csr' as const,
      numRows: rows.length,
      numCols: costs.length,
      starts,
      indices: rows.flatMap(({ columns }) => columns),
      values: rows.flatMap(({ columns, weights }) => weights ?? columns.map(() => 1)),
    },
  }
  const model = highs.createModel(relaxed)
  try {
    model.options.set({ ...OPTIONS, time_limit: seconds })
    const { optimal, timeLimit } = highs.constants.modelStatus
    // Stretches of time leave the relaxation whole more often than not: then it is the answer, and its own bound.
    if (model.run().modelStatus === optimal) {
      const { colValue } = model.getSolution()
      if (colValue.every((value) => Math.abs(value - Math.round(value)) < WHOLE))
        return { taken: takenIn(colValue), bound: model.getObjectiveValue() }
    }
    model.passModel({ ...relaxed, integrality: costs.map(() => highs.constants.variableType.integer) })
    const chosen = new Set(startFrom)
    model.setSolution({ colValue: costs.map((_, column) => Number(chosen.has(column))) })
    const { modelStatus } = model.run()
    // 2 = a point that keeps every row (HiGHS, kSolutionStatusFeasible).
    const hasChoice = model.info.get('primal_solution_status') === 2
    if ((modelStatus !== optimal && modelStatus !== timeLimit) || !hasChoice) return null
    const { colValue } = model.getSolution()
    return {
      taken: takenIn(colValue),
      bound: Number(model.info.get('mip_dual_bound')),
    }
  } finally {
    model.dispose()
  }
}

function takenIn(colValue: ArrayLike<number>): number[] {
  return [...Array(colValue.length).keys()].filter((column) => (colValue[column] ?? 0) > 0.5)
}
