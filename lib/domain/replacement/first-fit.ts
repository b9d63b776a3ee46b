/**
 * The placement that a person would make by hand: the most urgent visit first, each to the best start still free. Good, but
 * a visit with many choices may take the only one of another; the solver begins here and mends that.
 */
import { collide, compareCost, type Option, type Placement, takenBy, type VisitToPlace } from './placement.ts'

/** Visits with the fewest starts in time choose first. */
export function firstFit(visits: readonly VisitToPlace[]): Placement {
  const inTime = ({ options }: VisitToPlace) => options.filter(({ cost }) => cost.missed === 0).length
  const order = [...visits.keys()].sort(
    (a, b) => inTime(visits[a] as VisitToPlace) - inTime(visits[b] as VisitToPlace) || a - b,
  )
  const placement: (Option | null)[] = visits.map(() => null)
  const taken: ReturnType<typeof takenBy>[] = []
  for (const n of order) {
    const visit = visits[n] as VisitToPlace
    const best = visit.options
      .toSorted((a, b) => compareCost(a.cost, b.cost))
      .find((option) => {
        const own = takenBy(visit, option)
        return compareCost(option.cost, visit.unplaced) < 0 && !taken.some((other) => collide(own, other))
      })
    if (!best) continue
    placement[n] = best
    taken.push(takenBy(visit, best))
  }
  return placement
}
