/** Openers by trying every set of changes with a whole screening each: slow, plain, and the judge of the quick answer. */
import type { Facts } from '#lib/domain/protocol/need.ts'
import { type ScreenInput, screen } from '#lib/domain/screening/screen.ts'
import { DISPOSITIONS, type Opener } from '#lib/domain/screening/screening.ts'
import { subsets } from './random-cases.ts'

export function openersByBruteForce(input: ScreenInput): Opener[] {
  const { protocol, facts } = input
  const changes = protocol.facts.flatMap(({ id, change }) => {
    if (change === undefined) return []
    const has = facts[id]
    const there = typeof change.to === 'number' ? typeof has === 'number' && has >= change.to : has === change.to
    return there ? [] : [{ id, ...change }]
  })
  const after = (ids: readonly string[]) => {
    const made = changes.filter(({ id }) => ids.includes(id))
    const changed: Facts = { ...facts, ...Object.fromEntries(made.map(({ id, to }) => [id, to])) }
    return screenWithoutOpeners({ ...input, facts: changed })
  }
  const rank = new Map<string, number>()
  const before = after([])
  const openers: Opener[] = []
  for (const ids of subsets(changes.map(({ id }) => id)).filter((set) => set.length <= 3)) {
    const screening = after(ids)
    const reached = DISPOSITIONS.indexOf(screening.disposition)
    rank.set(ids.join(), reached)
    if (ids.length === 0) continue
    const proper = subsets(ids).filter((part) => part.length < ids.length)
    if (proper.some((part) => (rank.get(part.join()) ?? Infinity) >= reached)) continue
    openers.push({
      facts: ids,
      cost: changes.filter(({ id }) => ids.includes(id)).reduce((sum, { cost }) => sum + cost, 0),
      disposition: screening.disposition,
      opens: screening.stations
        .filter(
          ({ can, stationId }) =>
            can === 'yes' && before.stations.find((each) => each.stationId === stationId)?.can !== 'yes',
        )
        .map(({ stationId }) => stationId),
      coverage: screening.coverage.weighted,
    })
  }
  return openers
}

/** The same screening with nothing to change, so that trying everything does not itself look for openers. */
function screenWithoutOpeners(input: ScreenInput) {
  const { protocol } = input
  const facts = protocol.facts.map(({ change: _, ...fact }) => fact)
  return screen({ ...input, protocol: { ...protocol, facts } })
}
