/**
 * What must not wait for a visit by video, and what makes a home unfit for one.
 *
 * Flags only route; they raise urgency and never clear it. None of the published
 * rules was validated with self-pressing over video, so "not raised" means no more
 * than "nothing was reported".
 */
import type { HomeRule, RedFlag, SeeBy, Text } from '../schema.ts'
import { SOURCES } from './sources.ts'

const CALL_NOW: Text = {
  en: 'Call 911 or your local emergency number now. Do not wait for us.',
  es: 'Llame ya al 911 o al número de emergencias. No espere a que le llamemos.',
}
const SAME_DAY: Text = {
  en: 'You need to be seen today. Call the clinic now. If you feel worse, call 911.',
  es: 'Le tienen que ver hoy. Llame ya a la clínica. Si se pone peor, llame al 911.',
}
const NEXT_DAY: Text = {
  en: 'You need to be seen by the next work day. Call the clinic today, and stay off that foot.',
  es: 'Le tienen que ver antes de que acabe el próximo día de trabajo. Llame hoy a la clínica y no pise con ese pie.',
}
const XRAY: Text = {
  en: 'You may need an X-ray, so we will see you at the clinic. Stay off that foot until then.',
  es: 'Puede que haga falta una radiografía. Venga a la clínica y, hasta entonces, no pise con ese pie.',
}

const SORE: Text = {
  en: 'An open sore needs to be seen and dressed, so we will see you at the clinic. Keep it clean and covered.',
  es: 'Una llaga se debe ver y curar. Venga a la clínica y, hasta entonces, déjela limpia y tapada.',
}

const TODAY: SeeBy = { within: 24, unit: 'hours' }
const ONE_WORKING_DAY: SeeBy = { within: 1, unit: 'working_days' }
const TWO_WORKING_DAYS: SeeBy = { within: 2, unit: 'working_days' }
const SEE_BY = 'see-by time: common practice'

const CANT_TAKE_FOUR_STEPS = {
  all: [
    { fact: 'four_steps_then', is: false },
    { fact: 'four_steps_now', is: false },
  ],
}
const INJURED = { fact: 'acute_injury', is: true }

export const redFlags: RedFlag[] = [
  {
    id: 'sudden_cold_limb',
    level: 'emergency',
    title: 'Foot or leg suddenly cold, white, blue or numb',
    when: { fact: 'cold_foot', is: true },
    advice: CALL_NOW,
    source: SOURCES.ischaemia,
  },
  {
    id: 'chest_or_breath',
    level: 'emergency',
    title: 'New chest pain or short of breath',
    when: { fact: 'chest_or_breath', is: true },
    advice: CALL_NOW,
    source: SOURCES.lung,
  },
  {
    id: 'deformity_or_open_fracture',
    level: 'emergency',
    title: 'Foot out of shape, or bone seen',
    when: { fact: 'bent_or_bone', is: true },
    advice: CALL_NOW,
    source: `${SOURCES.openFracture}; ${SOURCES.deformity}`,
  },
  {
    id: 'pain_out_of_proportion',
    level: 'emergency',
    title: 'Pain out of proportion, worse on moving the toes',
    when: { fact: 'pain_out_of_control', is: true },
    advice: CALL_NOW,
    source: SOURCES.compartment,
  },
  {
    id: 'cast_too_tight',
    level: 'emergency',
    title: 'Cast or wrap too tight, toes blue, cold or numb',
    when: { fact: 'tight_cast', is: true },
    advice: CALL_NOW,
    source: SOURCES.compartment,
  },
  {
    id: 'black_skin',
    level: 'emergency',
    title: 'Black skin on the foot',
    when: { fact: 'black_skin', is: true },
    advice: CALL_NOW,
    source: SOURCES.diabeticFoot,
  },
  {
    id: 'infection_with_fever',
    level: 'emergency',
    title: 'Spreading redness, open sore, wound or hot joint, with fever or feeling very ill',
    when: {
      all: [
        { fact: 'fever', is: true },
        {
          any: [
            { fact: 'red_spreading', is: true },
            { fact: 'foot_ulcer', is: true },
            { fact: 'hot_joint', is: true },
            {
              all: [
                { fact: 'surgery_recent', is: true },
                { fact: 'wound_open', is: true },
              ],
            },
          ],
        },
      ],
    },
    advice: CALL_NOW,
    source: `${SOURCES.diabeticFoot}; ${SOURCES.practice}`,
  },
  {
    id: 'redness_spreads_fast',
    level: 'emergency',
    title: 'Redness that spreads by the hour, with blisters or dark spots',
    when: {
      all: [
        { fact: 'red_spreading', is: true },
        { fact: 'spreads_fast', is: true },
      ],
    },
    advice: CALL_NOW,
    source: SOURCES.spreading,
  },
  {
    id: 'wound_over_injury',
    level: 'emergency',
    title: 'Deep cut over a fresh injury',
    when: { all: [INJURED, { fact: 'injury_wound', is: true }] },
    advice: CALL_NOW,
    source: SOURCES.openFracture,
  },
  {
    id: 'sore_with_poor_flow',
    level: 'emergency',
    title: 'Open sore with foot pain at night that eases when the foot hangs down',
    when: {
      all: [
        { fact: 'foot_ulcer', is: true },
        { fact: 'night_pain', is: true },
      ],
    },
    advice: CALL_NOW,
    source: SOURCES.diabeticFoot,
  },
  {
    id: 'deep_sore_without_feeling',
    level: 'emergency',
    title: 'Deep, smelly or leaking sore, with diabetes or lost feeling',
    when: {
      all: [
        { fact: 'foot_ulcer', is: true },
        { fact: 'ulcer_deep', is: true },
        {
          any: [
            { fact: 'diabetes', is: true },
            { fact: 'lost_feeling', is: true },
          ],
        },
      ],
    },
    advice: CALL_NOW,
    source: SOURCES.diabeticFoot,
  },
  {
    id: 'numb_saddle_or_bladder',
    level: 'emergency',
    title: 'Lost feeling, with numbness between the legs or trouble to pass or hold urine',
    when: {
      all: [
        { fact: 'lost_feeling', is: true },
        { fact: 'back_bladder', is: true },
      ],
    },
    advice: CALL_NOW,
    source: SOURCES.backBladder,
  },
  {
    id: 'calf_pain_or_swelling',
    level: 'same_day',
    title: 'New one-sided calf pain or swelling',
    when: { fact: 'calf_swollen', is: true },
    seeBy: TODAY,
    advice: SAME_DAY,
    source: `${SOURCES.clot}; ${SOURCES.clotScore}`,
  },
  {
    id: 'hot_joint',
    level: 'same_day',
    title: 'Hot, swollen, painful joint',
    when: { fact: 'hot_joint', is: true },
    seeBy: TODAY,
    advice: SAME_DAY,
    source: SOURCES.hotJoint,
  },
  {
    id: 'red_spreading',
    level: 'same_day',
    title: 'Spreading redness',
    when: { fact: 'red_spreading', is: true },
    seeBy: TODAY,
    advice: SAME_DAY,
    source: SOURCES.practice,
  },
  {
    id: 'surgical_wound',
    level: 'same_day',
    title: 'Surgical wound open, leaking or more red',
    when: {
      all: [
        { fact: 'surgery_recent', is: true },
        { fact: 'wound_open', is: true },
      ],
    },
    seeBy: TODAY,
    advice: SAME_DAY,
    source: SOURCES.practice,
  },
  {
    id: 'fever_after_surgery',
    level: 'same_day',
    title: 'Fever after recent surgery',
    when: {
      all: [
        { fact: 'surgery_recent', is: true },
        { fact: 'fever', is: true },
      ],
    },
    seeBy: TODAY,
    advice: SAME_DAY,
    source: SOURCES.practice,
  },
  {
    id: 'fall_after_surgery',
    level: 'same_day',
    title: 'Fall or knock on a leg after recent surgery',
    when: {
      all: [
        { fact: 'surgery_recent', is: true },
        { fact: 'fell_since_surgery', is: true },
      ],
    },
    seeBy: TODAY,
    advice: SAME_DAY,
    source: SOURCES.afterSurgery,
  },
  {
    id: 'pain_after_surgery',
    level: 'same_day',
    title: 'Pain after recent surgery that pills do not hold',
    when: {
      all: [
        { fact: 'surgery_recent', is: true },
        { fact: 'pain_beats_pills', is: true },
      ],
    },
    seeBy: TODAY,
    advice: SAME_DAY,
    source: SOURCES.afterSurgery,
  },
  {
    id: 'deep_sore',
    level: 'same_day',
    title: 'Deep, smelly or leaking sore on the foot',
    when: {
      all: [
        { fact: 'foot_ulcer', is: true },
        { fact: 'ulcer_deep', is: true },
      ],
    },
    seeBy: TODAY,
    advice: SAME_DAY,
    source: SOURCES.practice,
  },
  {
    id: 'heel_snap',
    level: 'same_day',
    title: 'Snap or kick felt at the back of the ankle',
    when: { fact: 'heel_snap', is: true },
    seeBy: TODAY,
    advice: SAME_DAY,
    earlyLookWith: ['achilles_rupture'],
    source: SOURCES.achilles,
  },
  {
    id: 'diabetic_foot',
    level: 'urgent',
    title: 'Diabetes or lost feeling, with an open sore or a hot swollen foot',
    when: {
      all: [
        {
          any: [
            { fact: 'diabetes', is: true },
            { fact: 'lost_feeling', is: true },
          ],
        },
        {
          any: [
            { fact: 'foot_ulcer', is: true },
            { fact: 'foot_hot_swollen', is: true },
          ],
        },
      ],
    },
    seeBy: ONE_WORKING_DAY,
    advice: NEXT_DAY,
    source: SOURCES.diabeticFoot,
  },
  {
    id: 'night_pain',
    level: 'urgent',
    title: 'Diabetes, with foot pain at night that eases when the foot hangs down',
    when: {
      all: [
        { fact: 'diabetes', is: true },
        { fact: 'night_pain', is: true },
      ],
    },
    seeBy: ONE_WORKING_DAY,
    advice: NEXT_DAY,
    source: SOURCES.diabeticFoot,
  },
  {
    id: 'open_sore',
    level: 'in_person',
    title: 'Open sore on the foot, without diabetes or lost feeling',
    when: {
      all: [
        { fact: 'foot_ulcer', is: true },
        { fact: 'diabetes', is: false },
        { fact: 'lost_feeling', is: false },
      ],
    },
    seeBy: TWO_WORKING_DAYS,
    advice: SORE,
    source: `${SOURCES.practice}; ${SEE_BY}`,
  },
  {
    id: 'bruised_sole',
    level: 'in_person',
    title: 'Bruise on the sole after a fresh injury: standing X-ray may be needed',
    when: { all: [INJURED, { fact: 'sole_bruise', is: true }] },
    seeBy: TWO_WORKING_DAYS,
    advice: XRAY,
    source: `${SOURCES.midfoot}; ${SEE_BY}`,
  },
  {
    id: 'ottawa_ankle',
    level: 'in_person',
    title: 'Ottawa ankle rule: X-ray may be needed',
    when: {
      all: [
        INJURED,
        { fact: 'pain_ankle_bumps', is: true },
        {
          any: [
            { fact: 'tender_outer_ankle', is: true },
            { fact: 'tender_inner_ankle', is: true },
            CANT_TAKE_FOUR_STEPS,
          ],
        },
      ],
    },
    seeBy: TWO_WORKING_DAYS,
    advice: XRAY,
    source: `${SOURCES.ottawa}; ${SEE_BY}`,
  },
  {
    id: 'ottawa_foot',
    level: 'in_person',
    title: 'Ottawa foot rule: X-ray may be needed',
    when: {
      all: [
        INJURED,
        { fact: 'pain_midfoot', is: true },
        {
          any: [{ fact: 'tender_outer_foot', is: true }, { fact: 'tender_inner_foot', is: true }, CANT_TAKE_FOUR_STEPS],
        },
      ],
    },
    seeBy: TWO_WORKING_DAYS,
    advice: XRAY,
    source: `${SOURCES.ottawa}; ${SEE_BY}`,
  },
  {
    id: 'ottawa_cannot_clear',
    level: 'in_person',
    title: 'Fresh injury in which the Ottawa rules can’t clear (age under 18, lost feeling, or pressing not reliable)',
    when: {
      all: [
        INJURED,
        {
          any: [
            { not: { fact: 'age_years', atLeast: 18, unit: 'years' } },
            { fact: 'lost_feeling', is: true },
            { fact: 'press_not_sure', is: true },
          ],
        },
      ],
    },
    seeBy: TWO_WORKING_DAYS,
    advice: XRAY,
    source: `${SOURCES.ottawaAge}; ${SEE_BY}`,
  },
]

export const homeRules: HomeRule[] = [
  {
    id: 'declines_video',
    title: 'Patient does not want a visit by video',
    when: { fact: 'accepts_video', is: false },
    because: {
      en: 'You asked not to be seen by video. We will see you at the clinic.',
      es: 'No quiere una visita por video. Por eso le vemos en la clínica.',
    },
    source: SOURCES.practice,
  },
  {
    id: 'no_safe_place',
    title: 'No safe and private place',
    when: { fact: 'safe_place', is: false },
    because: {
      en: 'Your home has no quiet place for a video visit. We will see you at the clinic.',
      es: 'En casa no hay un lugar para la visita por video. Por eso le vemos en la clínica.',
    },
    source: SOURCES.practice,
  },
  {
    id: 'no_camera',
    title: 'No device with a camera',
    when: { fact: 'has_camera', is: false },
    because: {
      en: 'You have no camera for a video visit. We will see you at the clinic.',
      es: 'No tiene cámara para una visita por video. Por eso le vemos en la clínica.',
    },
    source: SOURCES.remoteSetUp,
  },
]
