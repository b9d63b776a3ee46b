/**
 * Which starts of a visit can matter? Those that cost least, as many as all the other visits together could ever block,
 * and one more: were a visit placed at a dearer one, one of these would be free and cost no more. So what is left out
 * can't make the placement better, and a clinic with thousands of free starts is solved as fast as a small one.
 */
import { compareCost, type Option, takenBy, type VisitToPlace } from './placement.ts'

/** The options of each visit that can be part of a best placement, cheapest first. */
export function keepCheapest(visits: readonly VisitToPlace[]): VisitToPlace[] {
  const longest = Math.max(
    0,
    ...visits.flatMap(({ options }) => options.map(({ start }) => start.busyTo - start.busyFrom)),
  )
  return visits.map((visit) => {
    const options = visit.options.toSorted((a, b) => compareCost(a.cost, b.cost))
    return { ...visit, options: options.slice(0, enough(visit, options, longest, visits.length - 1)) }
  })
}

/** How many of the cheapest are enough against so many other visits, none longer than `longest`. */
export function enough(
  visit: Pick<VisitToPlace, 'patientId'>,
  cheapestFirst: readonly Option[],
  longest: number,
  others: number,
): number {
  let count = 1
  for (;;) {
    const wanted = 1 + others * mostBlocked(visit, cheapestFirst.slice(0, count), longest)
    if (wanted <= count || count >= cheapestFirst.length) return count
    count = wanted
  }
}

/** How many of these one other visit can stand in the way of: by its clinician, its room, its interpreter and its patient. */
function mostBlocked(visit: Pick<VisitToPlace, 'patientId'>, options: readonly Option[], longest: number): number {
  const taken = options.flatMap((option) => takenBy(visit, option))
  const most = new Map<string, number>()
  for (const [key, ofOne] of Map.groupBy(taken, (each) => each.key)) {
    const kind = key.split(' ', 1)[0] ?? key
    most.set(kind, Math.max(most.get(kind) ?? 0, mostTouched(ofOne, longest)))
  }
  return [...most.values()].reduce((sum, each) => sum + each, 0)
}

/** The most stretches that one stretch of a length can touch. One that begins as a stretch's last instant passes touches the most. */
function mostTouched(stretches: readonly { start: number; end: number }[], length: number): number {
  const byStart = stretches.map(({ start }) => start).sort((a, b) => a - b)
  const byEnd = stretches.map(({ end }) => end).sort((a, b) => a - b)
  let most = 0
  let begun = 0
  let over = 0
  for (const [index, end] of byEnd.entries()) {
    // It opens just before `end`, so it touches what is not over by then and has begun before it closes.
    while ((byStart[begun] ?? Number.POSITIVE_INFINITY) < end + length) begun += 1
    if (end !== byEnd[index - 1]) over = index
    most = Math.max(most, begun - over)
  }
  return most
}
