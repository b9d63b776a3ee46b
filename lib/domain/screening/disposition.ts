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

/** What the ladder counts: how many flags, home rules and stations stand how. */
export type Tally = {
  /** Flags that are surely raised. */
  raised: Record<FlagLevel, number>
  /** Home rules that surely keep the visit out of the home. */
  unsafe: number
  /** Flags and home rules that an answer is missing for. */
  safetyOpen: number
  essential: Record<Truth, number>
  useful: Record<Truth, number>
}

/** Climbs down the ladder from the gravest rung; the first that fits is the answer. */
export function decideDisposition(findings: Findings): Verdict {
  const rule = rungOf(findings.condition, tallyOf(findings), findings.policy)
  return { disposition: LEADS_TO[rule], rule, because: behind(rule, findings) }
}

/** The first rung that fits. */
export function rungOf(condition: Condition, tally: Tally, policy: ScreeningPolicy): LadderRule {
  const { raised, unsafe, safetyOpen, essential, useful } = tally
  if (raised.emergency > 0) return 'emergency_flag'
  if (raised.same_day + raised.urgent > 0) return 'urgent_flag'
  if (condition.inPerson !== undefined) return 'urgent_condition'
  if (raised.in_person > 0) return 'in_person_flag'
  if (unsafe > 0) return 'unsafe_at_home'
  // Gaps are worth a visit only while something essential is left to see.
  const nothingToWaitFor = essential.yes + essential.not_known === 0
  if (essential.no > 0 && (!policy.gapsAllowed || nothingToWaitFor)) return 'essential_impossible'
  // Before any rung that ends in video: no safety answer may be missing.
  if (safetyOpen > 0) return 'safety_not_known'
  if (essential.no > 0 && essential.yes > 0) return 'essential_impossible_gap_allowed'
  if (essential.not_known > 0) return 'essential_not_known'
  return useful.no + useful.not_known > 0 ? 'useful_missing' : 'all_possible'
}

/** Where each rung leads. */
export const LEADS_TO: Record<LadderRule, Disposition> = {
  emergency_flag: 'emergency_advice',
  urgent_flag: 'urgent_in_person',
  urgent_condition: 'urgent_in_person',
  in_person_flag: 'in_person',
  unsafe_at_home: 'in_person',
  essential_impossible: 'in_person',
  safety_not_known: 'ask_again',
  essential_impossible_gap_allowed: 'video_with_gaps',
  essential_not_known: 'ask_again',
  useful_missing: 'video_with_gaps',
  all_possible: 'video',
}

/** A tally of nothing yet. */
export function emptyTally(): Tally {
  return {
    raised: { emergency: 0, same_day: 0, urgent: 0, in_person: 0 },
    unsafe: 0,
    safetyOpen: 0,
    essential: { yes: 0, no: 0, not_known: 0 },
    useful: { yes: 0, no: 0, not_known: 0 },
  }
}

function tallyOf({ flags, homeRules, stations }: Findings): Tally {
  const tally = emptyTally()
  for (const { flag, truth } of flags) countFlag(tally, flag, truth)
  for (const { truth } of homeRules) countHomeRule(tally, truth)
  for (const { importance, can } of stations) countStation(tally, importance, can)
  return tally
}

/** Counts one red flag. */
export function countFlag(tally: Tally, { level }: RedFlag, truth: Truth): void {
  if (truth === 'yes') tally.raised[level] += 1
  if (truth === 'not_known') tally.safetyOpen += 1
}

/** Counts one home rule. */
export function countHomeRule(tally: Tally, truth: Truth): void {
  if (truth === 'yes') tally.unsafe += 1
  if (truth === 'not_known') tally.safetyOpen += 1
}

/** Counts one station. An optional one moves nobody. */
export function countStation(tally: Tally, importance: Importance, can: Truth): void {
  if (importance !== 'optional') tally[importance][can] += 1
}

/** The ids that stand behind a rung. */
function behind(rule: LadderRule, { condition, flags, homeRules, stations }: Findings): string[] {
  const flagsAt = (...levels: FlagLevel[]) =>
    flags.filter(({ flag, truth }) => truth === 'yes' && levels.includes(flag.level)).map(({ flag }) => flag.id)
  const rulesThat = (are: Truth) => homeRules.filter(({ truth }) => truth === are).map(({ rule }) => rule.id)
  const stationsThat = (importance: Importance, ...can: Truth[]) =>
    stations.filter((each) => each.importance === importance && can.includes(each.can)).map((each) => each.stationId)
  switch (rule) {
    case 'emergency_flag':
      return flagsAt('emergency')
    case 'urgent_flag':
      return flagsAt('same_day', 'urgent')
    case 'urgent_condition':
      return [condition.id]
    case 'in_person_flag':
      return flagsAt('in_person')
    case 'unsafe_at_home':
      return rulesThat('yes')
    case 'essential_impossible':
    case 'essential_impossible_gap_allowed':
      return stationsThat('essential', 'no')
    case 'safety_not_known':
      return [
        ...flags.filter(({ truth }) => truth === 'not_known').map(({ flag }) => flag.id),
        ...rulesThat('not_known'),
      ]
    case 'essential_not_known':
      return stationsThat('essential', 'not_known')
    case 'useful_missing':
      return stationsThat('useful', 'no', 'not_known')
    case 'all_possible':
      return []
  }
}
