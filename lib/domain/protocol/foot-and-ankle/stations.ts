/**
 * The stations of a foot and ankle exam by video, in the clinic's house order, and what must come before what.
 *
 * What is active, visible and done by the patient works at home; what needs a
 * clinician's hands is not here. A lesser way says what it does not show.
 */
import { invariant } from '#lib/base/invariant.ts'
import type { Station } from '../schema.ts'
import { MEASURES } from './measures.ts'
import { bloodFlowCalfAndFeeling } from './stations/blood-flow-calf-and-feeling.ts'
import { looking } from './stations/looking.ts'
import { movement } from './stations/movement.ts'
import { pressing } from './stations/pressing.ts'
import { strength } from './stations/strength.ts'
import { walkingAndStanding } from './stations/walking-and-standing.ts'

const all = [...walkingAndStanding, ...looking, ...movement, ...strength, ...bloodFlowCalfAndFeeling, ...pressing]

/** The order in which the clinic likes to examine when nothing else decides. */
const HOUSE_ORDER = [
  'walk',
  'toe_walk',
  'heel_walk',
  'posture_behind',
  'posture_above',
  'skin_top',
  'skin_soles',
  'swelling_compare',
  'point_to_pain',
  'scar',
  'ankle_up_down',
  'ankle_up_down_hand',
  'calf_length',
  'ankle_side',
  'ankle_side_hand',
  'big_toe_range',
  'strength_push',
  'strength_pull',
  'strength_big_toe',
  'strength_inner',
  'strength_outer',
  'nail_refill',
  'shin_refill',
  'calf_self_squeeze',
  'calf_strap',
  'light_touch',
  'heel_raise_double',
  'heel_raise_single',
  'single_leg_stance',
  'block_stand',
  'lunge_wall',
  'windlass',
  'heel_press',
  'press_bones',
  'forefoot_press',
  'web_squeeze',
  'tarsal_tap',
  'resting_angle',
  'calf_squeeze',
  'shoe_wear',
]

export const stations: Station[] = HOUSE_ORDER.map((id) => {
  const station = all.find((each) => each.id === id)
  invariant(station, `there is a station "${id}"`)
  const measures = MEASURES[id]
  return measures === undefined ? station : { ...station, measures }
})

/** What must come before what. */
export const precedence = [
  { first: 'posture_behind', second: 'walk', why: 'Standing still shows first whether walking is safe.' },
  { first: 'posture_behind', second: 'heel_raise_single', why: 'Weight-bearing safety before balance.' },
  { first: 'walk', second: 'heel_raise_single', why: 'The easy load before the hard one.' },
  { first: 'posture_behind', second: 'block_stand', why: 'The heel is compared with how it stands on the floor.' },
  { first: 'ankle_up_down', second: 'strength_push', why: 'Active before resisted.' },
  { first: 'ankle_up_down', second: 'strength_pull', why: 'Active before resisted.' },
  { first: 'ankle_up_down', second: 'calf_length', why: 'Knee bent before knee straight, to compare.' },
  { first: 'ankle_side', second: 'strength_inner', why: 'Active before resisted.' },
  { first: 'ankle_side', second: 'strength_outer', why: 'Active before resisted.' },
  { first: 'nail_refill', second: 'calf_strap', why: 'Resting circulation before the calf is pulled.' },
  { first: 'nail_refill', second: 'calf_squeeze', why: 'Resting circulation before the calf is squeezed.' },
  { first: 'resting_angle', second: 'calf_squeeze', why: 'Look at rest before touching.' },
  { first: 'calf_length', second: 'calf_strap', why: 'Active before assisted.' },
  { first: 'point_to_pain', second: 'heel_press', why: 'Provoking pain last.' },
  { first: 'walk', second: 'heel_press', why: 'Provoking pain last, so that it does not change the walk.' },
  { first: 'posture_behind', second: 'toe_walk', why: 'Weight-bearing safety before balance.' },
  { first: 'walk', second: 'toe_walk', why: 'The easy load before the hard one.' },
  { first: 'posture_behind', second: 'heel_walk', why: 'Weight-bearing safety before balance.' },
  { first: 'walk', second: 'heel_walk', why: 'The easy load before the hard one.' },
  { first: 'posture_behind', second: 'heel_raise_double', why: 'Weight-bearing safety before balance.' },
  { first: 'walk', second: 'heel_raise_double', why: 'The easy load before the hard one.' },
  { first: 'heel_raise_double', second: 'heel_raise_single', why: 'Both legs before one.' },
  { first: 'posture_behind', second: 'single_leg_stance', why: 'Weight-bearing safety before balance.' },
  { first: 'walk', second: 'single_leg_stance', why: 'The easy load before the hard one.' },
  { first: 'posture_behind', second: 'lunge_wall', why: 'Weight-bearing safety before balance.' },
  { first: 'ankle_up_down', second: 'lunge_wall', why: 'Active before loaded.' },
  { first: 'big_toe_range', second: 'windlass', why: 'Active before loaded.' },
  { first: 'walk', second: 'windlass', why: 'Provoking pain last, so that it does not change the walk.' },
  { first: 'ankle_up_down', second: 'ankle_up_down_hand', why: 'Active before assisted.' },
  { first: 'ankle_side', second: 'ankle_side_hand', why: 'Active before assisted.' },
  { first: 'calf_length', second: 'ankle_up_down_hand', why: 'Active before assisted.' },
  { first: 'big_toe_range', second: 'strength_big_toe', why: 'Active before resisted.' },
  { first: 'nail_refill', second: 'shin_refill', why: 'Toes first, then the shin.' },
  { first: 'shin_refill', second: 'calf_self_squeeze', why: 'Resting circulation before the calf is squeezed.' },
  { first: 'nail_refill', second: 'calf_self_squeeze', why: 'Resting circulation before the calf is squeezed.' },
  { first: 'calf_self_squeeze', second: 'calf_strap', why: 'A squeeze before a pull.' },
  { first: 'resting_angle', second: 'calf_self_squeeze', why: 'Look at rest before touching.' },
  { first: 'light_touch', second: 'tarsal_tap', why: 'Feeling at rest before it is provoked.' },
  { first: 'point_to_pain', second: 'press_bones', why: 'Provoking pain last.' },
  { first: 'walk', second: 'press_bones', why: 'Provoking pain last, so that it does not change the walk.' },
  { first: 'point_to_pain', second: 'forefoot_press', why: 'Provoking pain last.' },
  { first: 'walk', second: 'forefoot_press', why: 'Provoking pain last, so that it does not change the walk.' },
  { first: 'point_to_pain', second: 'web_squeeze', why: 'Provoking pain last.' },
  { first: 'walk', second: 'web_squeeze', why: 'Provoking pain last, so that it does not change the walk.' },
  { first: 'point_to_pain', second: 'tarsal_tap', why: 'Provoking pain last.' },
  { first: 'walk', second: 'tarsal_tap', why: 'Provoking pain last, so that it does not change the walk.' },
]
