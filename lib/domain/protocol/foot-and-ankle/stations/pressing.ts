/**
 * Where does pressing hurt? The patient's own finger rules in, and never clears.
 */
import type { Station } from '../../schema.ts'
import { REACHES_FOOT } from '../needs.ts'
import { SOURCES } from '../sources.ts'
import { NO_STANDING } from './standing-ways.ts'

export const pressing: Station[] = [
  {
    id: 'heel_press',
    title: 'Self-pressing of the heel',
    plain: { en: 'Press on your heel', es: 'Apretar el talón' },
    looksFor: 'Pain at the inner front of the heel pad, against the squeezed heel and the arch.',
    sides: 'compare',
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
          en: 'Press your thumb into the sole where the heel starts, on the inner side. Say how much it hurts.',
          es: 'Apriete con el pulgar la planta donde nace el talón, por dentro. Diga cuánto le duele.',
        },
      },
    ],
    source: SOURCES.heelPain,
  },
  {
    id: 'press_bones',
    title: 'Self-pressing of bones and tendons',
    plain: { en: 'Press the sore places', es: 'Apretar donde duele' },
    looksFor:
      'Pain on pressing: both ankle bones, inner and outer bone of the midfoot, midfoot joints, tendon behind the heel from its end to 6 cm up, tendons behind both ankle bones. Rules in only: no pain clears nothing.',
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
          en: 'Press with one finger on each place we name. Say how much it hurts, from 0 to 10.',
          es: 'Apriete con un dedo donde le digamos. Diga cuánto le duele, de 0 a 10.',
        },
      },
      {
        id: 'helper_presses',
        needs: { fact: 'helper', is: true },
        helper: true,
        value: 0.8,
        misses: 'Another hand presses: the force is not the patient’s own and is less even.',
        fetch: [],
        instructions: {
          en: 'Keep your foot still. Say how much it hurts, from 0 to 10.',
          es: 'No mueva el pie. Diga cuánto le duele, de 0 a 10.',
        },
        helperInstructions: {
          en: 'Press softly with one finger on each place you are told.',
          es: 'Apriete suave con un dedo donde le digan.',
        },
      },
    ],
    source: `${SOURCES.ottawa}; ${SOURCES.tendon}; by the own finger: ${SOURCES.practice}`,
  },
  {
    id: 'forefoot_press',
    title: 'Self-pressing of the forefoot',
    plain: { en: 'Press under your toes', es: 'Apretar bajo los dedos' },
    looksFor: 'Pain under each metatarsal head and on bending each toe up, both sides compared.',
    sides: 'compare',
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
          en: 'Press with your thumb under each toe, where the ball of the foot is. Say which one hurts most.',
          es: 'Apriete con el pulgar bajo cada dedo, en la parte de delante de la planta. Diga cuál le duele más.',
        },
      },
    ],
    source: SOURCES.practice,
  },
  {
    id: 'web_squeeze',
    title: 'Squeeze between the toes',
    plain: { en: 'Squeeze between your toes', es: 'Apretar entre los dedos' },
    looksFor:
      'Pain or tingling into the toes when the web space is squeezed between thumb and finger, each space in turn.',
    sides: 'compare',
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
          en: 'Put your thumb under and a finger on top of the gap between two toes. Squeeze. Say if it hurts or tingles. Do each gap.',
          es: 'Ponga el pulgar debajo y un dedo encima, entre dos dedos del pie. Apriete. Diga si duele o si nota chispas. Hágalo entre todos.',
        },
      },
    ],
    source: SOURCES.webSqueeze,
  },
]
