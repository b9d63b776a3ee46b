/** The solver of this process, shared by every request: it is loaded once, and keeps nothing between two questions. */
import { highsSolver as makeSolver } from '#lib/adapters/highs-solver.ts'

export const highsSolver = makeSolver({ seconds: 10 })
