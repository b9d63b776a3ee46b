/**
 * What does triage ask of a referral? Every red flag, whoever else may be asked
 * it again later, and what of safety only the clinic's own papers can answer. The
 * order is the protocol's; nothing is left out, because a list that hides a
 * question has answered it.
 */
import type { Answer } from '../protocol/need.ts'
import type { Condition, Fact, Protocol } from '../protocol/schema.ts'

/** The checklist of one protocol. */
export function triageQuestions(protocol: Protocol): Fact[] {
  return protocol.facts.filter(
    (fact) => fact.area === 'red_flags' || (fact.area === 'safety' && fact.askedOf === 'staff'),
  )
}

/** With the dot. The seventh character of an injury's code tells the encounter, not what is hurt (ICD-10-CM, chapter 19). */
const SIX_CHARACTERS = 7

/** The conditions that carry one of the referral's ICD-10-CM codes; a suggestion to a person, never a decision. */
export function conditionsCoded(
  conditions: readonly Condition[],
  icd10: readonly string[],
): { condition: Condition; code: string }[] {
  return conditions.flatMap((condition) => {
    const { left, right, both, unspecified } = condition.icd10
    const listed = [...left, ...right, ...both, ...unspecified]
    const code = icd10.find((one) => listed.includes(one.slice(0, SIX_CHARACTERS)))
    return code === undefined ? [] : [{ condition, code }]
  })
}

/** An answer as the checklist sends it. "Not sure" and never asked look the same: not known. */
export function rawAnswer(answer: Answer | null | undefined): string {
  if (answer === undefined || answer === null || answer === 'not_sure') return ''
  return typeof answer === 'boolean' ? (answer ? 'yes' : 'no') : String(answer)
}
