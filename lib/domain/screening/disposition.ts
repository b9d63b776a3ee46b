/**
 * The ladder: where does this patient go, and by which rule?
 *
 * The gravest rung that fits wins. What is not known never opens anything: it
 * stops short of video until it is answered, and never lowers what was found.
 */
import type { Condition, FlagLevel, HomeRule, Importance, RedFlag } from '../protocol/schema.ts'
import type { Disposition, LadderRule, Truth } from './screening.ts'

/** What the clinic allows, decided by its licensed lead. */
export type ScreeningPolicy = {
  /** A visit by video although an essential station is impossible, with an in-person follow-up for the gaps. */
  gapsAllowed: boolean
  /** A sooner video look beside an urgent in-person start. */
  earlyLookAllowed: boolean
}

/** What the ladder looks at. */
export type Findings = {
  condition: Condition
  flags: readonly { flag: RedFlag; truth: Truth }[]
  homeRules: readonly { rule: HomeRule; truth: Truth }[]
  stations: readonly { stationId: string; importance: Importance; can: Truth }[]
  policy: ScreeningPolicy
}

/** The disposition with the rule that fired and the ids behind it. */
export type Verdict = { disposition: Disposition; rule: LadderRule; because: string[] }

/** Climbs down the ladder from the gravest rung; the first that fits is the answer. */
export function decideDisposition({ condition, flags, homeRules, stations, policy }: Findings): Verdict {
  const flagsAt = (...levels: FlagLevel[]) =>
    flags.filter(({ flag, truth }) => truth === 'yes' && levels.includes(flag.level)).map(({ flag }) => flag.id)
  const stationsThat = (importance: Importance, ...can: Truth[]) =>
    stations.filter((each) => each.importance === importance && can.includes(each.can)).map((each) => each.stationId)
  const rung = (disposition: Disposition, rule: LadderRule, because: string[]): Verdict => ({
    disposition,
    rule,
    because,
  })

  const emergency = flagsAt('emergency')
  if (emergency.length > 0) return rung('emergency_advice', 'emergency_flag', emergency)

  const urgent = flagsAt('same_day', 'urgent')
  if (urgent.length > 0) return rung('urgent_in_person', 'urgent_flag', urgent)
  if (condition.inPerson !== undefined) return rung('urgent_in_person', 'urgent_condition', [condition.id])

  const inPerson = flagsAt('in_person')
  if (inPerson.length > 0) return rung('in_person', 'in_person_flag', inPerson)
  const unsafe = homeRules.filter(({ truth }) => truth === 'yes').map(({ rule }) => rule.id)
  if (unsafe.length > 0) return rung('in_person', 'unsafe_at_home', unsafe)

  // Gaps are worth a visit only while something essential is left to see.
  const impossible = stationsThat('essential', 'no')
  const somethingLeft = stationsThat('essential', 'yes').length > 0
  const nothingToWaitFor = stationsThat('essential', 'yes', 'not_known').length === 0
  if (impossible.length > 0 && (!policy.gapsAllowed || nothingToWaitFor))
    return rung('in_person', 'essential_impossible', impossible)

  // Before any rung that ends in video: no safety answer may be missing.
  const safetyOpen = [
    ...flags.filter(({ truth }) => truth === 'not_known').map(({ flag }) => flag.id),
    ...homeRules.filter(({ truth }) => truth === 'not_known').map(({ rule }) => rule.id),
  ]
  if (safetyOpen.length > 0) return rung('ask_again', 'safety_not_known', safetyOpen)

  if (impossible.length > 0 && somethingLeft)
    return rung('video_with_gaps', 'essential_impossible_gap_allowed', impossible)
  const essentialOpen = stationsThat('essential', 'not_known')
  if (essentialOpen.length > 0) return rung('ask_again', 'essential_not_known', essentialOpen)

  const missing = stationsThat('useful', 'no', 'not_known')
  if (missing.length > 0) return rung('video_with_gaps', 'useful_missing', missing)
  return rung('video', 'all_possible', [])
}
