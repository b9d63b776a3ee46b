/** What screening says about one referral: values with their reasons, ready to store and to show. */
import type { Facts } from '../protocol/need.ts'
import type { FlagLevel, Importance, SeeBy, Side } from '../protocol/schema.ts'

/** Strong Kleene truth. */
export type Truth = 'yes' | 'no' | 'not_known'

/** From the gravest to the easiest; the ladder in `disposition.ts` returns the first that fits. */
export const DISPOSITIONS = [
  'emergency_advice',
  'urgent_in_person',
  'in_person',
  'ask_again',
  'video_with_gaps',
  'video',
] as const
export type Disposition = (typeof DISPOSITIONS)[number]

/** Which step of the ladder fired. */
export const LADDER_RULES = [
  'emergency_flag',
  'urgent_flag',
  'urgent_condition',
  'in_person_flag',
  'unsafe_at_home',
  'essential_impossible',
  'essential_impossible_gap_allowed',
  'safety_not_known',
  'essential_not_known',
  'useful_missing',
  'all_possible',
] as const
export type LadderRule = (typeof LADDER_RULES)[number]

export type StationScreening = {
  stationId: string
  importance: Importance
  can: Truth
  /** The best way that is surely possible; null when none is. */
  way: { id: string; value: number; helper: boolean } | null
  /** What closes it when `can` is no: a home fact each, minimal. */
  closedBy: { kind: 'safety' | 'set_up' | 'way' | 'forbidden'; facts: string[] }[]
  /** Facts whose answers could decide it when `can` is not known. */
  unknown: string[]
}

export type RaisedFlag = { flagId: string; level: FlagLevel; seeBy: SeeBy | null }

export type Count = { can: number; of: number }
export type Coverage = {
  /** 0 to 1, by the protocol's weights and each way's information value. */
  weighted: number
  essential: Count
  useful: Count
  optional: Count
}

/** A smallest set of changes at home that moves the disposition up. */
export type Opener = { facts: string[]; cost: number; disposition: Disposition; opens: string[]; coverage: number }

export type Screening = {
  protocolId: string
  protocolVersion: number
  conditionId: string
  side: Side
  facts: Facts
  disposition: Disposition
  rule: LadderRule
  /** Ids behind the rule: flags, home rules, stations or facts, by what `rule` speaks of. */
  because: string[]
  /** The tightest time limit that a flag or the condition sets; null = the referral's own see-by stands. */
  seeBy: SeeBy | null
  /** With urgent in person only: a sooner video look may be offered beside the in-person start. */
  earlyLook: boolean
  raised: RaisedFlag[]
  homeRules: string[]
  stations: StationScreening[]
  coverage: Coverage
  /** The least questions that would decide what is open, most useful first. */
  ask: string[]
  openers: Opener[]
}
