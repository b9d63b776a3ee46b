/**
 * Which signs may a patient report as new, and what does telling one say?
 *
 * All of them stand on one page, so that is made short: a question that only matters beside another one ("Has the cut come
 * open?" beside "Have you had surgery?") is asked under it, once that one is told. What would be an emergency is never put
 * away like that.
 */
import { expand, type PlainNeed } from '../protocol/expand.ts'
import { type Answers, knownFacts } from '../protocol/need.ts'
import type { Fact, Protocol } from '../protocol/schema.ts'
import { flagsRaised } from './home-check.ts'

export type NewSign = {
  fact: Fact
  /** Told now, it would be an emergency. */
  isEmergency: boolean
  /** What to ask beside it. */
  also: Fact[]
}

/**
 * Yes-or-no questions that a red flag waits to hear "yes" to and that were not answered so, in the protocol's order. Asked
 * whatever the first questions skipped: a new sign owes nothing to the old answers.
 */
export function newSigns(protocol: Protocol, answers: Answers): NewSign[] {
  const known = knownFacts(answers)
  const signs = protocol.facts
    .filter(
      (fact) =>
        isTold(fact) &&
        answers[fact.id] !== true &&
        protocol.redFlags.some((flag) => waitsForYes(expand(flag.when, protocol), fact.id)),
    )
    .map((fact) => {
      const told = Object.fromEntries(withLeading(protocol, [fact.id]).map((id) => [id, true]))
      const [gravest] = flagsRaised(protocol, { ...known, ...told })
      return { fact, isEmergency: gravest?.level === 'emergency' }
    })
  const leadOf = (fact: Fact) => signs.find((sign) => sign.fact.id === leadingTo(protocol, fact)?.id)
  // One step deep: what is asked under a question that is itself asked under another stands by itself.
  const isUnder = ({ fact, isEmergency }: (typeof signs)[number]) => {
    const lead = leadOf(fact)
    return !isEmergency && lead !== undefined && leadOf(lead.fact) === undefined
  }
  return signs
    .filter((sign) => !isUnder(sign))
    .map((sign) => ({
      ...sign,
      also: signs.filter((other) => isUnder(other) && leadOf(other.fact) === sign).map(({ fact }) => fact),
    }))
}

/**
 * All that is said by telling these: whoever tells of "the cut" has told of the surgery. It may only raise the urgency; a
 * person at the clinic who has spoken to them can take it back.
 */
export function withLeading(protocol: Protocol, factIds: readonly string[]): string[] {
  const told = new Set(factIds)
  // A set that grows on the way is walked to its end.
  for (const id of told) {
    const fact = protocol.facts.find((each) => each.id === id)
    const lead = fact && leadingTo(protocol, fact)
    if (lead) told.add(lead.id)
  }
  return [...told]
}

/** The question that has to be answered yes before this one is asked at all. */
function leadingTo(protocol: Protocol, { askWhen }: Fact): Fact | undefined {
  if (askWhen === undefined || !('fact' in askWhen) || !('is' in askWhen) || !askWhen.is) return undefined
  return protocol.facts.find((fact) => fact.id === askWhen.fact && isTold(fact))
}

/** Whether a patient can tell it by a tick. */
function isTold({ askedOf, kind }: Fact): boolean {
  return askedOf === 'patient' && kind === 'yes_no'
}

/** Whether "yes" to the fact can help to meet the need. */
function waitsForYes(need: PlainNeed, factId: string, wanted = true): boolean {
  if ('all' in need) return need.all.some((part) => waitsForYes(part, factId, wanted))
  if ('any' in need) return need.any.some((part) => waitsForYes(part, factId, wanted))
  if ('not' in need) return waitsForYes(need.not, factId, !wanted)
  if ('of' in need) return need.of.some(({ points, when }) => waitsForYes(when, factId, points > 0 === wanted))
  return 'is' in need && need.fact === factId && need.is === wanted
}
