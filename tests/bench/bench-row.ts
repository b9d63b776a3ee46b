/** One line of the bench: a figure of ours and, where there is one, its rival's from the same run. */
export type BenchRow = {
  id: string
  p50Ms?: number
  p95Ms?: number
  p99Ms?: number
  perSecond?: number
  kB?: number
  /** How many times better than the rival, or ours ÷ rival where the note says so. */
  ratio?: number
  rival?: string
  note?: string
}

/** Sizes and seeds by name, such as `--referrals 500 --seed 7`; every bench has defaults for its own. */
export type BenchOptions = Record<string, number>
