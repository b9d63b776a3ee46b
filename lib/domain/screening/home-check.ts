/**
 * What is asked of a patient, in which order, and when do we stop?
 *
 * The order is the order of the areas: what could be dangerous first. A question
 * is skipped only when it surely does not apply; one that was answered "not sure"
 * counts as asked, but never as known.
 */
import { expand } from '../protocol/expand.ts'
import { type Answers, type Facts, knownFacts } from '../protocol/need.ts'
import { AREAS, type Fact, FLAG_LEVELS, type Protocol, type RedFlag } from '../protocol/schema.ts'
import { truthOf } from './evaluate.ts'
import { factsStillOpen } from './still-open.ts'

/**
 * The questions for a patient, in order; with a condition, those that were answered and those whose answer can still change
 * something for it.
 */
export function questionsFor(protocol: Protocol, answers: Answers, conditionId?: string): Fact[] {
  const known = knownFacts(answers)
  const read = conditionId === undefined ? null : factsThatMatter(protocol, conditionId, answers)
  return AREAS.flatMap((area) =>
    protocol.facts.filter(
      (fact) =>
        fact.area === area &&
        fact.askedOf === 'patient' &&
        (read === null || read.has(fact.id)) &&
        (fact.askWhen === undefined || truthOf(expand(fact.askWhen, protocol), known) !== 'no'),
    ),
  )
}

/** The next question that was not asked yet, or null when the home check is complete. */
export function nextQuestion(protocol: Protocol, answers: Answers, conditionId?: string): Fact | null {
  return questionsFor(protocol, answers, conditionId).find((fact) => answers[fact.id] === undefined) ?? null
}

/** The red flags that the answers so far surely raise, gravest first: looked at after each answer. */
export function flagsRaised(protocol: Protocol, facts: Facts): RedFlag[] {
  return protocol.redFlags
    .filter((flag) => truthOf(expand(flag.when, protocol), facts) === 'yes')
    .sort((a, b) => FLAG_LEVELS.indexOf(a.level) - FLAG_LEVELS.indexOf(b.level))
}

/** Whether the answers so far surely keep this visit out of the home, so that agreement to video need not be asked. */
export function isVideoRuledOut(protocol: Protocol, facts: Facts): boolean {
  return protocol.homeRules.some((rule) => truthOf(expand(rule.when, protocol), facts) === 'yes')
}

function factsThatMatter(protocol: Protocol, conditionId: string, answers: Answers): Set<string> {
  const asked = factsStillOpen(protocol, conditionId, {})
  const open = factsStillOpen(protocol, conditionId, knownFacts(answers))
  return new Set([...asked].filter((id) => answers[id] !== undefined || open.has(id)))
}
