/**
 * What a referral suspects, and which stations that calls for. ICD-10-CM codes
 * are looked up by side: their last digit follows no rule.
 */
import type { Condition } from '../schema.ts'
import { SOURCES } from './sources.ts'

const ICD = 'ICD-10-CM, FY2024 code list'

export const conditions: Condition[] = [
  {
    id: 'flat_foot',
    title: 'Flat foot (posterior tibial tendon), suspected',
    plain: { en: 'A foot with a low arch', es: 'Un pie con poco puente' },
    icd10: {
      left: ['M21.42', 'M76.822'],
      right: ['M21.41', 'M76.821'],
      both: ['M21.41', 'M21.42', 'M76.821', 'M76.822'],
      unspecified: ['M21.40', 'M76.829'],
    },
    stations: {
      essential: ['posture_behind', 'heel_raise_single', 'walk'],
      useful: ['strength_inner', 'ankle_side', 'point_to_pain', 'skin_top'],
      optional: [
        'calf_length',
        'ankle_up_down',
        'strength_push',
        'strength_pull',
        'nail_refill',
        'light_touch',
        'calf_strap',
      ],
    },
    forbids: [],
    earlyLook: false,
    imageFirst: false,
    source: `${SOURCES.heelRise}; ${ICD}`,
  },
  {
    id: 'cavovarus',
    title: 'High-arched (cavovarus) foot, suspected',
    plain: { en: 'A foot with a high arch', es: 'Un pie con mucho puente' },
    icd10: { left: ['M21.6X2'], right: ['M21.6X1'], both: ['M21.6X1', 'M21.6X2'], unspecified: ['M21.6X9'] },
    stations: {
      essential: ['posture_behind', 'block_stand', 'walk'],
      useful: ['strength_outer', 'strength_pull', 'ankle_side', 'light_touch'],
      optional: ['skin_soles', 'ankle_up_down', 'strength_push', 'point_to_pain', 'nail_refill'],
    },
    forbids: [],
    earlyLook: false,
    imageFirst: false,
    source: `${SOURCES.block}; ${ICD}`,
  },
  {
    id: 'big_toe_arthritis',
    title: 'Big-toe arthritis (hallux rigidus), suspected',
    plain: { en: 'A stiff, sore big toe', es: 'El dedo gordo duro y con dolor' },
    icd10: { left: ['M20.22'], right: ['M20.21'], both: ['M20.21', 'M20.22'], unspecified: ['M20.20'] },
    stations: {
      essential: ['big_toe_range', 'point_to_pain'],
      useful: ['posture_behind', 'walk', 'skin_top'],
      optional: ['skin_soles', 'ankle_up_down', 'nail_refill', 'light_touch'],
    },
    forbids: [],
    earlyLook: false,
    imageFirst: false,
    source: `${SOURCES.bigToe}; ${ICD}`,
  },
  {
    id: 'achilles_rupture',
    title: 'Achilles tendon rupture, suspected',
    plain: { en: 'A sudden pain at the back of the ankle', es: 'Un dolor de golpe detrás del tobillo' },
    icd10: {
      left: ['S86.012A'],
      right: ['S86.011A'],
      both: ['S86.011A', 'S86.012A'],
      unspecified: ['S86.019A'],
    },
    stations: {
      essential: ['calf_squeeze'],
      useful: ['resting_angle', 'point_to_pain', 'skin_top'],
      optional: ['nail_refill', 'light_touch'],
    },
    forbids: [
      'walk',
      'heel_raise_single',
      'block_stand',
      'strength_push',
      'strength_pull',
      'calf_length',
      'calf_strap',
    ],
    inPerson: {
      seeBy: { within: 24, unit: 'hours' },
      because: {
        en: 'Your ankle needs to be checked by hand soon, so we will see you at the clinic.',
        es: 'El tobillo se debe mirar pronto con las manos. Por eso le vemos en la clínica.',
      },
    },
    earlyLook: true,
    imageFirst: false,
    source: `${SOURCES.achilles}; ${SOURCES.calfSqueeze}; ${ICD}`,
  },
  {
    id: 'heel_pain',
    title: 'Plantar heel pain',
    plain: { en: 'Pain under the heel', es: 'Dolor en el talón' },
    icd10: { left: ['M72.2'], right: ['M72.2'], both: ['M72.2'], unspecified: ['M72.2'] },
    stations: {
      essential: ['heel_press', 'calf_length'],
      useful: ['walk', 'posture_behind', 'ankle_up_down', 'point_to_pain'],
      optional: ['skin_soles', 'light_touch', 'nail_refill', 'calf_strap', 'strength_push'],
    },
    forbids: [],
    earlyLook: false,
    imageFirst: false,
    source: `${SOURCES.heelPain}; ${ICD}`,
  },
  {
    id: 'ankle_sprain',
    title: 'Ankle sprain',
    plain: { en: 'A twisted ankle', es: 'Un tobillo torcido' },
    icd10: { left: ['S93.402A'], right: ['S93.401A'], both: ['S93.401A', 'S93.402A'], unspecified: ['S93.409A'] },
    stations: {
      essential: ['point_to_pain', 'ankle_up_down', 'ankle_side'],
      useful: ['walk', 'skin_top', 'strength_outer'],
      optional: ['posture_behind', 'skin_soles', 'strength_pull', 'nail_refill', 'light_touch'],
    },
    forbids: [],
    earlyLook: false,
    imageFirst: false,
    source: `${SOURCES.sprain}; ${ICD}`,
  },
  {
    id: 'after_surgery',
    title: 'Follow-up after surgery',
    plain: { en: 'A check after surgery', es: 'Un control tras la operación' },
    icd10: { left: ['Z47.89'], right: ['Z47.89'], both: ['Z47.89'], unspecified: ['Z47.89'] },
    stations: {
      essential: ['scar', 'skin_top'],
      useful: ['ankle_up_down', 'nail_refill', 'light_touch'],
      optional: ['point_to_pain', 'ankle_side', 'walk', 'posture_behind'],
    },
    forbids: [],
    earlyLook: false,
    imageFirst: true,
    source: `${SOURCES.practice}; ${ICD}`,
  },
  {
    id: 'pain_unknown',
    title: 'Foot or ankle pain, cause not known',
    plain: { en: 'Pain in the foot or ankle', es: 'Dolor en el pie o el tobillo' },
    icd10: {
      left: ['M79.672', 'M25.572'],
      right: ['M79.671', 'M25.571'],
      both: ['M79.671', 'M79.672', 'M25.571', 'M25.572'],
      unspecified: ['M79.673', 'M25.579'],
    },
    stations: {
      essential: ['point_to_pain', 'skin_top', 'ankle_up_down'],
      useful: [
        'walk',
        'posture_behind',
        'skin_soles',
        'ankle_side',
        'strength_push',
        'strength_pull',
        'nail_refill',
        'light_touch',
      ],
      optional: ['strength_inner', 'strength_outer', 'calf_length', 'calf_strap', 'big_toe_range', 'heel_press'],
    },
    forbids: [],
    earlyLook: false,
    imageFirst: false,
    source: `${SOURCES.remoteExam}; ${ICD}`,
  },
]
