/**
 * Numbers of days in bands that can be compared. The first and the last edge are those between which missed visits were
 * found to differ most (less than a day ahead against more than four weeks, odds ratio 5.45, PMC11149957); the edges
 * between are common practice.
 */

/** Whole days before the start at which the next band begins. */
export const LEAD_EDGES = [1, 7, 14, 28] as const

/** `0` to `LEAD_EDGES.length`, as PostgreSQL's `width_bucket` counts: a band holds its lower edge. */
export function bandOf(days: number): number {
  return LEAD_EDGES.filter((edge) => days >= edge).length
}

export function bandWords(band: number): string {
  const from = LEAD_EDGES[band - 1]
  const to = LEAD_EDGES[band]
  if (from === undefined) return 'less than 1 day'
  if (to === undefined) return `${from} days or more`
  return from === to - 1 ? `${from} day` : `${from} to ${to - 1} days`
}
