/** How runs are timed and summed up, the same for every bench of the engine. */

/** Milliseconds of each of so many runs, after a few that only warm up. */
export function timed(count: number, run: () => unknown): number[] {
  for (let warm = 0; warm < Math.min(count, 50); warm += 1) run()
  return Array.from({ length: count }, () => {
    const before = performance.now()
    run()
    return performance.now() - before
  })
}

/** The figures of a bench row. */
export function figures(samples: readonly number[]) {
  return {
    p50Ms: percentile(samples, 0.5),
    p95Ms: percentile(samples, 0.95),
    p99Ms: percentile(samples, 0.99),
    perSecond: (1000 * samples.length) / samples.reduce((sum, each) => sum + each, 0),
  }
}

export function percentile(samples: readonly number[], share: number): number {
  const sorted = [...samples].sort((a, b) => a - b)
  return sorted[Math.ceil(share * sorted.length) - 1] ?? Number.NaN
}
