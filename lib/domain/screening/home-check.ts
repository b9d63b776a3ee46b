/**
 * What is asked of a patient, in which order, and when do we stop?
 *
 * The order is the order of the areas: what could be dangerous first. A question
 * is skipped only when it surely does not apply; one that was answered "not sure"
 * counts as asked, but never as known.
 */
import { expand, factsRead } from '../protocol/expand.ts'
import { type Answers, type Facts, knownFacts } from '../protocol/need.ts'
import { AREAS, type Fact, FLAG_LEVELS, IMPORTANCES, type Protocol, type RedFlag } from '../protocol/schema.ts'
import { setUpOf } from '../protocol/set-up-of.ts'
import { truthOf } from './evaluate.ts'

/** The questions for a patient, in order; with a condition, only those that it, a red flag or a home rule reads. */
export function questionsFor(protocol: Protocol, answers: Answers, conditionId?: string): Fact[] {
  const known = knownFacts(answers)
  const read = conditionId === undefined ? null : factsThatMatter(protocol, conditionId)
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

function factsThatMatter(protocol: Protocol, conditionId: string): Set<string> {
  const read = new Set<string>()
  for (const { when } of [...protocol.redFlags, ...protocol.homeRules]) factsRead(expand(when, protocol), read)
  const condition = protocol.conditions.find((each) => each.id === conditionId)
  const stationIds = condition === undefined ? [] : IMPORTANCES.flatMap((importance) => condition.stations[importance])
  for (const station of protocol.stations) {
    if (!stationIds.includes(station.id)) continue
    factsRead(expand(station.safety, protocol), read)
    for (const way of station.ways)
      for (const need of [setUpOf(protocol, station, way).needs, way.needs]) factsRead(expand(need, protocol), read)
    for (const equipmentId of station.ways.flatMap((way) => way.fetch))
      factsRead(expand({ equipment: equipmentId }, protocol), read)
  }
  // A question that decides whether another is asked must be asked itself.
  for (let before = -1; before !== read.size; ) {
    before = read.size
    for (const fact of protocol.facts)
      if (read.has(fact.id) && fact.askWhen !== undefined) factsRead(expand(fact.askWhen, protocol), read)
  }
  return read
}
