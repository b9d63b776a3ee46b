/**
 * How fast are the openers found, beside the plain way: a whole screening for every set of up to three changes? One home
 * for each condition, of which nothing is known that a household could change. Differing answers stop the run.
 */
import { invariant } from '#lib/base/invariant.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import { loadProtocol } from '#lib/domain/protocol/load.ts'
import { caseAtHand } from '#lib/domain/screening/case-at-hand.ts'
import { findOpeners } from '#lib/domain/screening/openers.ts'
import { BEST_HOME, without } from '#tests/domain/screening/foot-and-ankle-homes.ts'
import { openersByBruteForce } from '#tests/domain/screening/openers-brute-force.ts'
import type { BenchOptions, BenchRow } from './bench-row.ts'
import { figures, percentile, timed } from './timing.ts'

const POLICY = { gapsAllowed: false, earlyLookAllowed: true }

/** Times every condition that has openers, ours often and the rival once. */
export async function rows(options: BenchOptions = {}): Promise<BenchRow[]> {
  const { samples = 200 } = options
  const loaded = loadProtocol(footAndAnkle)
  invariant(loaded.ok, 'the foot and ankle protocol loads')
  const protocol = loaded.value
  const changeable = protocol.facts.filter(({ change }) => change !== undefined).map(({ id }) => id)
  const facts = without(BEST_HOME, ...changeable)
  // Where the condition itself decides there is nothing to look for, and nothing to time.
  const open = protocol.conditions.filter(({ inPerson }) => inPerson === undefined)

  const ours: number[] = []
  const rival: number[] = []
  for (const { id: conditionId } of open) {
    const subject = caseAtHand(protocol, conditionId)
    const found = findOpeners(subject, facts, POLICY)
    ours.push(...timed(samples, () => findOpeners(subject, facts, POLICY)))
    const started = performance.now()
    const theirs = openersByBruteForce({ protocol, conditionId, side: 'both', facts, policy: POLICY })
    rival.push(performance.now() - started)
    const told = (openers: typeof found) =>
      openers.map((opener) => JSON.stringify({ ...opener, facts: [...opener.facts].sort() })).sort()
    invariant(told(found).join() === told(theirs).join(), 'the rival finds other openers')
  }
  return [
    {
      id: 'openers',
      ...figures(ours),
      ratio: percentile(rival, 0.5) / percentile(ours, 0.5),
      rival: 'a whole screening for each set of changes',
      note: `${open.length} conditions, ${changeable.length} changes each, ${samples} times; the rival once each`,
    },
  ]
}
