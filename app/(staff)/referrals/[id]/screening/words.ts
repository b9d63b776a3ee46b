/** The steps of the ladder and the weight of stations, in words. */
import type { Importance } from '#lib/domain/protocol/schema.ts'
import type { LadderRule } from '#lib/domain/screening/screening.ts'

export const RULE_WORDS: Record<LadderRule, string> = {
  emergency_flag: 'A red flag at emergency level comes before everything else',
  urgent_flag: 'A red flag that video can’t meet in time',
  urgent_condition: 'A condition that must be seen in person by a set time',
  in_person_flag: 'A red flag that needs hands, an X-ray or a dressing',
  unsafe_at_home: 'A visit at home is not possible, not safe or not wanted',
  essential_impossible: 'An essential station is surely impossible in any way',
  essential_impossible_gap_allowed: 'An essential station is impossible, and clinic policy lets a follow-up hold it',
  safety_not_known: 'What is not known counts as unsafe until it is',
  essential_not_known: 'An essential station is not decided yet',
  useful_missing: 'Everything essential is possible, something useful is not',
  all_possible: 'Everything essential and useful is possible',
}

export const IMPORTANCE_WORDS: Record<Importance, string> = {
  essential: 'Essential',
  useful: 'Useful',
  optional: 'Optional',
}
