/**
 * What may be measured or counted at a station, what is plausible, and what is published about it. Sources differ; none is
 * left out and none is made the judge. Plausible limits only catch a slip of the finger: common practice.
 */
import type { Measure, Reference } from '../schema.ts'

const PLAUSIBLE = 'plausible limits: common practice'
const WJO = 'World J Orthop 2017;8(1):21-29, table 5'
const MERCK = 'Merck Manual, table of joint ranges (second-hand)'
const CASTORI = 'Castori M. ISRN Dermatol 2012, 751768, table 8'
const COUGHLIN =
  'Coughlin MJ, Shurnas PS. J Bone Joint Surg Am 2003;85:2072-88; the grade itself needs X-rays, so this is a band only'

const ADULTS = 'adults'

const dorsiflexion: Measure = {
  id: 'dorsiflexion',
  title: 'Ankle up (dorsiflexion)',
  unit: 'deg',
  min: -45,
  max: 45,
  step: 1,
  references: [{ who: ADULTS, from: 0, to: 20, source: WJO }],
  source: PLAUSIBLE,
}

const plantarflexion: Measure = {
  id: 'plantarflexion',
  title: 'Ankle down (plantarflexion)',
  unit: 'deg',
  min: 0,
  max: 80,
  step: 1,
  references: [{ who: ADULTS, from: 0, to: 50, source: WJO }],
  source: PLAUSIBLE,
}

const inversion: Measure = {
  id: 'inversion',
  title: 'Sole in (inversion)',
  unit: 'deg',
  min: 0,
  max: 60,
  step: 1,
  references: [{ who: ADULTS, from: 0, to: 35, source: WJO }],
  source: PLAUSIBLE,
}

const eversion: Measure = {
  id: 'eversion',
  title: 'Sole out (eversion)',
  unit: 'deg',
  min: 0,
  max: 45,
  step: 1,
  references: [
    { who: ADULTS, from: 0, to: 15, source: WJO },
    { who: ADULTS, from: 0, to: 20, source: 'textbooks (from memory)' },
    { who: ADULTS, from: 0, to: 25, source: MERCK },
  ],
  source: PLAUSIBLE,
}

/** A slow refill alone is no finding, and a quick one clears nothing. */
const REFILL_LIMITS: Reference[] = [
  { who: 'usual limit', to: 2, source: 'conventional limit of 2 s, as tested by Schriger DL, Baraff L 1988' },
  { who: 'adult women, 95 % limit', to: 2.9, source: 'Schriger DL, Baraff L. Ann Emerg Med 1988;17:932-5' },
  { who: 'elderly people, 95 % limit', to: 4.5, source: 'Schriger DL, Baraff L. Ann Emerg Med 1988;17:932-5' },
  { who: 'children, at the foot', to: 4, source: 'Fleming S et al. 2015 (pressed for 5 s at 20 to 25 °C)' },
]

const refill: Measure = {
  id: 'refill',
  title: 'Seconds until pink again',
  unit: 's',
  min: 0,
  max: 20,
  step: 0.1,
  tool: 'stopwatch',
  references: REFILL_LIMITS,
  source: PLAUSIBLE,
}

/** The measures of each station that has some. */
export const MEASURES: Readonly<Record<string, Measure[]>> = {
  ankle_up_down: [dorsiflexion, plantarflexion],
  ankle_up_down_hand: [dorsiflexion, plantarflexion],
  calf_length: [
    {
      ...dorsiflexion,
      id: 'dorsiflexion_straight',
      title: 'Ankle up, knee straight',
      references: [
        {
          who: 'calf not held to be tight',
          from: 1,
          source: 'Barouk P, Barouk LS. Foot Ankle Clin 2014;19(4):659-667: tight at 0 or less',
        },
        {
          who: 'calf not held to be tight',
          from: 6,
          source: 'DiGiovanni CW. J Bone Joint Surg Am 2002: tight at 5 or less (from memory)',
        },
        { who: 'calf not held to be tight', from: 10, source: 'podiatry texts: tight below 10 (second-hand)' },
      ],
    },
  ],
  ankle_side: [inversion, eversion],
  ankle_side_hand: [inversion, eversion],
  big_toe_range: [
    {
      id: 'big_toe_up',
      title: 'Big toe up (extension)',
      unit: 'deg',
      min: 0,
      max: 110,
      step: 1,
      references: [
        { who: ADULTS, from: 0, to: 70, source: CASTORI },
        { who: ADULTS, from: 0, to: 80, source: MERCK },
        { who: 'stiff big toe, band of grade 0', from: 40, to: 60, source: COUGHLIN },
        { who: 'stiff big toe, band of grade 1', from: 30, to: 40, source: COUGHLIN },
        { who: 'stiff big toe, band of grade 2', from: 10, to: 30, source: COUGHLIN },
        { who: 'stiff big toe, band of grade 3 or 4', to: 10, source: COUGHLIN },
      ],
      source: PLAUSIBLE,
    },
    {
      id: 'big_toe_down',
      title: 'Big toe down (flexion)',
      unit: 'deg',
      min: 0,
      max: 90,
      step: 1,
      references: [
        { who: ADULTS, from: 0, to: 45, source: 'textbook tables (second-hand)' },
        { who: ADULTS, from: 0, to: 30, source: 'other textbook tables (second-hand)' },
      ],
      source: PLAUSIBLE,
    },
  ],
  nail_refill: [refill],
  shin_refill: [refill],
  heel_raise_single: [
    {
      id: 'heel_rises',
      title: 'Heel rises',
      unit: 'count',
      min: 0,
      max: 100,
      step: 1,
      tool: 'tally',
      references: [
        {
          who: 'men, median',
          from: 24,
          source:
            'Hébert-Losier K et al. Physiotherapy 2017;103(4):446-52 (on a 10 degree incline; 6 more or less on another day is chance)',
        },
        {
          who: 'women, median',
          from: 21,
          source:
            'Hébert-Losier K et al. Physiotherapy 2017;103(4):446-52 (on a 10 degree incline; 6 more or less on another day is chance)',
        },
        { who: 'adults, called normal', from: 25, source: 'Lunsford BR, Perry J. Phys Ther 1995 (from memory)' },
      ],
      source: PLAUSIBLE,
    },
  ],
  single_leg_stance: [
    {
      id: 'stance',
      title: 'Seconds on one leg',
      unit: 's',
      min: 0,
      max: 60,
      step: 0.1,
      tool: 'stopwatch',
      references: [
        {
          who: 'four-stage balance test, last stage',
          from: 10,
          source: 'Rossiter-Fornoff JE et al. J Gerontol A 1995;50A:M291-7 (from memory)',
        },
      ],
      source: PLAUSIBLE,
    },
  ],
  lunge_wall: [
    {
      id: 'toe_to_wall',
      title: 'Toe to wall',
      unit: 'cm',
      min: 0,
      max: 30,
      step: 0.5,
      references: [],
      source: PLAUSIBLE,
    },
  ],
  swelling_compare: [
    {
      id: 'round_left',
      title: 'Round of the left ankle',
      unit: 'cm',
      min: 10,
      max: 60,
      step: 0.5,
      references: [],
      source: PLAUSIBLE,
    },
    {
      id: 'round_right',
      title: 'Round of the right ankle',
      unit: 'cm',
      min: 10,
      max: 60,
      step: 0.5,
      references: [],
      source: PLAUSIBLE,
    },
  ],
}
