/** Homes to screen: the best there is, and how to forget some of it. */
import type { Facts } from '#lib/domain/protocol/need.ts'

const SYMPTOMS = [
  'cold_foot',
  'chest_or_breath',
  'bent_or_bone',
  'pain_out_of_control',
  'tight_cast',
  'black_skin',
  'fever',
  'red_spreading',
  'calf_swollen',
  'hot_joint',
  'heel_snap',
  'surgery_recent',
  'wound_open',
  'diabetes',
  'lost_feeling',
  'foot_ulcer',
  'foot_hot_swollen',
  'acute_injury',
  'pain_ankle_bumps',
  'pain_midfoot',
  'tender_outer_ankle',
  'tender_inner_ankle',
  'tender_outer_foot',
  'tender_inner_foot',
  'press_not_sure',
  'spreads_fast',
  'fell_since_surgery',
  'pain_beats_pills',
  'ulcer_deep',
  'night_pain',
  'back_bladder',
  'injury_wound',
  'sole_bruise',
  'not_weight_bearing',
  'fell',
  'unsteady',
  'worries_falling',
  'dizzy',
]

const AT_HOME = [
  'four_steps_then',
  'four_steps_now',
  'reach_foot',
  'accepts_video',
  'helper',
  'helper_strong',
  'safe_place',
  'support',
  'couch',
  'strap',
  'towel',
  'block',
  'book',
  'tape',
  'has_camera',
  'camera_prop',
  'bright_light',
]

/** Every question answered in favour of a visit by video. */
export const BEST_HOME: Facts = {
  ...Object.fromEntries(SYMPTOMS.map((id) => [id, false])),
  ...Object.fromEntries(AT_HOME.map((id) => [id, true])),
  age_years: 50,
  lane_m: 6,
  seat_cm: 60,
}

/** The same home with some answers missing. */
export function without(facts: Facts, ...ids: string[]): Facts {
  return Object.fromEntries(Object.entries(facts).filter(([id]) => !ids.includes(id)))
}
