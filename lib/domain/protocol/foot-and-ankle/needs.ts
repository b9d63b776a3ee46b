/** Needs that many stations share. What is not known closes a station until it is answered. */
import type { Need } from '../need.ts'

/** Somebody is there for the whole visit and is strong enough to assist. */
export const HELPER: Need = {
  all: [
    { fact: 'helper', is: true },
    { fact: 'helper_strong', is: true },
  ],
}
export const SUPPORT: Need = { fact: 'support', is: true }
export const STEADY: Need = { fact: 'fall_risk', is: false }
/** A person at risk of falling stands only with a helper within reach and something firm to hold. */
export const GUARDED: Need = { all: [HELPER, SUPPORT] }
/** Standing is allowed at all. */
export const MAY_STAND: Need = {
  all: [{ fact: 'not_weight_bearing', is: false }, { any: [STEADY, GUARDED] }],
}
export const NO_CLOT_SIGNS: Need = { fact: 'calf_swollen', is: false }
export const REACHES_FOOT: Need = { fact: 'reach_foot', is: true }
export const LIGHT: Need = { fact: 'bright_light', is: true }
export const PROP: Need = { fact: 'camera_prop', is: true }
export const HIGH_SEAT: Need = { fact: 'seat_cm', atLeast: 50, unit: 'cm' }
export const SEAT: Need = { fact: 'seat_cm', atLeast: 40, unit: 'cm' }
