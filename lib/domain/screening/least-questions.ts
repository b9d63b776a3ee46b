/**
 * Which few questions would settle what is open?
 *
 * Every open thing can be settled by one of several small groups of questions.
 * We choose a group for each so that the questions together are fewest: asking a
 * sore patient twice costs more than a moment of search here.
 */

/** One open thing: any of these groups of questions could settle it. */
export type OpenThing = { weight: number; groups: readonly (readonly string[])[] }

/** Beyond this many steps the best found so far is kept; real protocols need a few dozen. */
const SEARCH_STEPS = 20_000

/** The smallest set of questions that holds a group of every open thing, the most telling first. */
export function leastQuestions(open: readonly OpenThing[], order: readonly string[]): string[] {
  const place = new Map(order.map((fact, index) => [fact, index]))
  const chosen = smallestUnion(open.map(({ groups }) => groups).filter((groups) => groups.length > 0))
  const use = (fact: string) =>
    open.reduce((sum, { weight, groups }) => (groups.some((group) => group.includes(fact)) ? sum + weight : sum), 0)
  return [...chosen]
    .map((fact) => ({ fact, use: use(fact), place: place.get(fact) ?? Infinity }))
    .sort((a, b) => b.use - a.use || a.place - b.place)
    .map(({ fact }) => fact)
}

function smallestUnion(things: (readonly (readonly string[])[])[]): Set<string> {
  let best: Set<string> | null = null
  let steps = 0
  const settled = (groups: readonly (readonly string[])[], asked: Set<string>) =>
    groups.some((group) => group.every((fact) => asked.has(fact)))

  const search = (asked: Set<string>) => {
    steps += 1
    if (best !== null && (asked.size >= best.size || steps > SEARCH_STEPS)) return
    // The thing with the fewest groups branches least.
    let next: readonly (readonly string[])[] | null = null
    for (const groups of things)
      if (!settled(groups, asked) && (next === null || groups.length < next.length)) next = groups
    if (next === null) {
      best = asked
      return
    }
    const byCost = next.map((group) => group.filter((fact) => !asked.has(fact))).sort((a, b) => a.length - b.length)
    for (const missing of byCost) search(new Set([...asked, ...missing]))
  }
  search(new Set())
  return best ?? new Set()
}
