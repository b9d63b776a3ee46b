/** What tries of stations say: by way, how often it was done; and why what was not done was not. */
import type { Reason, StationResult } from '../outcomes/vocabulary.ts'
import type { WayCount } from './suggestions.ts'

/** So many tries of one way that ended alike. */
export type TryCount = Omit<WayCount, 'done' | 'of'> & { result: StationResult; reason: Reason | null; n: number }

export type WayLine = WayCount & { withDifficulty: number; notPossible: number; stopped: number; notReached: number }
export type FailureLine = { reason: Reason; result: 'not_possible' | 'stopped'; n: number }

/** Nobody got to it, whether the visit ended before or its time did: that says nothing about the home. */
function isNotReached({ result, reason }: TryCount): boolean {
  return result === 'not_reached' || (result !== 'done_with_difficulty' && reason === 'no_time')
}

/** By version of a protocol, station and way: done of tried. What nobody got to was no try; it is counted beside. */
export function waysOf(counts: readonly TryCount[]): WayLine[] {
  const byWay = Map.groupBy(counts, ({ protocolId, protocolVersion, stationId, wayId }) =>
    JSON.stringify([protocolId, protocolVersion, stationId, wayId]),
  )
  return [...byWay.values()].flatMap((all) => {
    const [first] = all
    if (!first) return []
    const { protocolId, protocolVersion, stationId, wayId } = first
    const tried = all.filter((each) => !isNotReached(each))
    const times = (asked: StationResult) => sum(tried.filter(({ result }) => result === asked))
    const withDifficulty = times('done_with_difficulty')
    return [
      {
        protocolId,
        protocolVersion,
        stationId,
        wayId,
        done: times('done') + withDifficulty,
        of: sum(tried),
        withDifficulty,
        notPossible: times('not_possible'),
        stopped: times('stopped'),
        notReached: sum(all) - sum(tried),
      },
    ]
  })
}

/** What was tried and not done, by reason, the most frequent first. */
export function failuresOf(counts: readonly TryCount[]): FailureLine[] {
  const found: FailureLine[] = []
  for (const each of counts) {
    const { reason, result, n } = each
    if ((result !== 'not_possible' && result !== 'stopped') || reason === null || isNotReached(each)) continue
    const line = found.find((other) => other.reason === reason && other.result === result)
    if (line) line.n += n
    else found.push({ reason, result, n })
  }
  const nameOf = ({ reason, result }: FailureLine) => `${reason} ${result}`
  return found.sort((a, b) => b.n - a.n || (nameOf(a) < nameOf(b) ? -1 : 1))
}

function sum(counts: readonly TryCount[]): number {
  return counts.reduce((total, { n }) => total + n, 0)
}
