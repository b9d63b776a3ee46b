/**
 * What is only looked at, or pointed to: skin, scars, swelling, shoes.
 */
import type { Station } from '../../schema.ts'
import { REACHES_FOOT } from '../needs.ts'
import { SOURCES } from '../sources.ts'
import { NO_STANDING } from './standing-ways.ts'

export const looking: Station[] = [
  {
    id: 'skin_top',
    title: 'Skin, top of both feet',
    plain: { en: 'Top of both feet', es: 'La piel de los pies' },
    looksFor: 'Colour, swelling, bruise, wounds, nails, toe shape, both sides compared.',
    sides: 'together',
    setUp: 'over_feet',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'self',
        needs: { all: [] },
        helper: false,
        value: 1,
        fetch: [],
        instructions: {
          en: 'Hold the phone over your feet. Move it slowly from the toes to the ankles.',
          es: 'Ponga el teléfono sobre los pies. Vaya poco a poco de los dedos al tobillo.',
        },
      },
    ],
    source: SOURCES.remoteExam,
  },
  {
    id: 'skin_soles',
    title: 'Skin, soles',
    plain: { en: 'Soles of both feet', es: 'Las plantas de los pies' },
    looksFor: 'Callus under load, wounds, bruise of the sole, both sides compared.',
    sides: 'compare',
    setUp: 'close_to_foot',
    minutes: 0.5,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'self',
        needs: REACHES_FOOT,
        helper: false,
        value: 1,
        fetch: [],
        instructions: {
          en: 'Rest one foot on the other knee and hold the phone to the sole.',
          es: 'Ponga un pie sobre la otra rodilla y acerque el teléfono a la planta.',
        },
      },
      {
        id: 'helper_holds',
        needs: { fact: 'helper', is: true },
        helper: true,
        value: 1,
        fetch: [],
        instructions: { en: 'Put your foot up and let the sole be seen.', es: 'Suba el pie y enseñe la planta.' },
        helperInstructions: {
          en: 'Hold the phone to the sole and keep still.',
          es: 'Acerque el teléfono a la planta y no lo mueva.',
        },
      },
    ],
    source: SOURCES.remoteExam,
  },
  {
    id: 'point_to_pain',
    title: 'Points to the sorest places',
    plain: { en: 'Where it hurts', es: 'Dónde le duele' },
    looksFor: 'One finger on each sore place, in order; what brings the pain on.',
    sides: 'affected',
    setUp: 'seat_front',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'self',
        needs: REACHES_FOOT,
        helper: false,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Point with one finger to where it hurts most. Then show the next place.',
          es: 'Señale con un dedo dónde le duele más. Luego, el otro lugar.',
        },
      },
      {
        id: 'tells_helper',
        needs: { fact: 'helper', is: true },
        helper: true,
        value: 0.7,
        misses: 'The place is shown by somebody else, so it is less exact.',
        fetch: ['prop'],
        instructions: {
          en: 'Say where it hurts and guide the finger there.',
          es: 'Diga dónde le duele y guíe el dedo hasta allí.',
        },
        helperInstructions: {
          en: 'Point to the place you are told. Do not press.',
          es: 'Señale donde le digan. No apriete.',
        },
      },
    ],
    source: SOURCES.practice,
  },
  {
    id: 'scar',
    title: 'Scar and wound edges',
    plain: { en: 'Your scar', es: 'La herida' },
    looksFor: 'Edges, redness, swelling, discharge, stitches; skin around.',
    sides: 'affected',
    setUp: 'close_to_foot',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'self',
        needs: REACHES_FOOT,
        helper: false,
        value: 1,
        fetch: [],
        instructions: {
          en: 'Hold the phone to the scar and go from end to end. Do not touch it.',
          es: 'Acerque el teléfono a la herida y vaya de un lado al otro. No la toque.',
        },
      },
      {
        id: 'helper_holds',
        needs: { fact: 'helper', is: true },
        helper: true,
        value: 1,
        fetch: [],
        instructions: { en: 'Put your foot up and keep it still.', es: 'Suba el pie y no lo mueva.' },
        helperInstructions: {
          en: 'Hold the phone to the scar. Do not touch it.',
          es: 'Acerque el teléfono a la herida. No la toque.',
        },
      },
    ],
    source: SOURCES.practice,
  },
  {
    id: 'swelling_compare',
    title: 'Swelling, side to side',
    plain: { en: 'Is one side swollen?', es: '¿Tiene un lado hinchado?' },
    looksFor:
      'Both ankles and feet in one picture: outline, hollows beside the tendon, sock marks; round of each with a tape.',
    sides: 'together',
    setUp: 'seat_front',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'tape',
        needs: { all: [REACHES_FOOT, { equipment: 'tape' }] },
        helper: false,
        value: 1,
        fetch: ['prop', 'tape'],
        instructions: {
          en: 'Let both feet be seen side by side. Put the tape round each ankle, at the thick part, and read it to us.',
          es: 'Enseñe los dos pies juntos. Pase la cinta por cada tobillo, en lo más gordo, y léanos la cifra.',
        },
      },
      {
        id: 'by_eye',
        needs: { all: [] },
        helper: false,
        value: 0.7,
        misses: 'Nothing is measured: a small difference between the sides does not show.',
        fetch: ['prop'],
        instructions: {
          en: 'Let both feet be seen side by side. Keep them still.',
          es: 'Enseñe los dos pies juntos. No los mueva.',
        },
      },
    ],
    source: SOURCES.practice,
  },
  {
    id: 'shoe_wear',
    title: 'Shoe wear',
    plain: { en: 'Your worn shoes', es: 'Sus zapatos usados' },
    looksFor: 'Wear of heel and sole, bend of the upper, insoles and braces in use, both shoes compared.',
    sides: 'together',
    setUp: 'over_feet',
    minutes: 0.5,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'self',
        needs: { all: [] },
        helper: false,
        value: 1,
        fetch: [],
        instructions: {
          en: 'Bring the shoes that you wear most. Turn them over and hold the phone to the soles, then to the backs.',
          es: 'Traiga los zapatos que más usa. Deles la vuelta y acerque el teléfono a las suelas; luego, a la parte de atrás.',
        },
      },
    ],
    source: SOURCES.practice,
  },
]
