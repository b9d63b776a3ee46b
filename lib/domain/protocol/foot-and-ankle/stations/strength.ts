/**
 * How strong is each movement?
 *
 * A helper's hand is the measure; where nobody is there, body weight or the own hand stands in and says what it misses.
 */
import type { Station, Text } from '../../schema.ts'
import { HELPER, REACHES_FOOT, SUPPORT } from '../needs.ts'
import { SOURCES } from '../sources.ts'
import { NO_STANDING, standingWays } from './standing-ways.ts'

const PUSH_DOWN: Text = {
  en: 'Push your foot down like on a gas pedal. Hold it there and do not let it be moved.',
  es: 'Empuje el pie hacia abajo, como al pisar el freno. Aguante y no deje que se lo muevan.',
}
const PULL_UP: Text = {
  en: 'Pull your foot up to your shin. Hold it there and do not let it be moved.',
  es: 'Suba el pie hacia la espinilla. Aguante y no deje que se lo muevan.',
}

export const strength: Station[] = [
  {
    id: 'strength_push',
    title: 'Strength: push down',
    plain: { en: 'Push your foot down', es: 'Empujar el pie abajo' },
    looksFor: 'Plantarflexion against resistance, both sides compared.',
    sides: 'compare',
    setUp: 'seat_front',
    minutes: 0.5,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'helper_resists',
        needs: HELPER,
        helper: true,
        value: 1,
        fetch: ['prop'],
        instructions: PUSH_DOWN,
        helperInstructions: {
          en: 'Put your hand under the ball of the foot. Push up and hold against it.',
          es: 'Ponga la mano bajo la parte de delante de la planta. Empuje hacia arriba y aguante.',
        },
      },
      ...standingWays(
        {
          needs: [{ fact: 'not_weight_bearing', is: false }, SUPPORT],
          fetch: ['prop'],
          value: 0.7,
          misses: 'Body weight instead of a hand: a mild loss on one side does not show.',
          suffix: '_heel_raise',
        },
        {
          en: 'Hold on to the wall. Rise up on your toes with both feet, then come down slowly.',
          es: 'Apóyese en la pared. Póngase de puntillas con los dos pies y baje poco a poco.',
        },
      ).map((way) => ({ ...way, setUp: 'stand_back' })),
      {
        id: 'strap_resists',
        needs: { all: [REACHES_FOOT, { equipment: 'strap' }] },
        helper: false,
        value: 0.5,
        misses: 'The patient sets the resistance, so sides can be compared only roughly.',
        fetch: ['prop', 'strap'],
        instructions: {
          en: 'Put the strap round the ball of your foot. Hold both ends and push your foot down.',
          es: 'Pase la correa por la planta, cerca de los dedos. Sujete las puntas y empuje el pie hacia abajo.',
        },
      },
    ],
    source: SOURCES.remoteExam,
  },
  {
    id: 'strength_pull',
    title: 'Strength: pull up',
    plain: { en: 'Pull your foot up', es: 'Subir el pie con fuerza' },
    looksFor: 'Dorsiflexion against resistance, both sides compared.',
    sides: 'compare',
    setUp: 'seat_front',
    minutes: 0.5,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'helper_resists',
        needs: HELPER,
        helper: true,
        value: 1,
        fetch: ['prop'],
        instructions: PULL_UP,
        helperInstructions: {
          en: 'Put your hand on top of the foot. Push down and hold against it.',
          es: 'Ponga la mano sobre el pie. Empuje hacia abajo y aguante.',
        },
      },
      ...standingWays(
        {
          needs: [{ fact: 'not_weight_bearing', is: false }, SUPPORT, { fact: 'lane_m', atLeast: 2.5, unit: 'm' }],
          fetch: ['prop'],
          value: 0.6,
          misses: 'Body weight instead of a hand: only a marked loss shows.',
          suffix: '_heel_walk',
        },
        {
          en: 'Walk on your heels along the wall as well as you can. Keep your toes up.',
          es: 'Ande con los talones junto a la pared lo mejor que pueda. Los dedos van hacia arriba.',
        },
      ).map((way) => ({ ...way, setUp: 'lane' })),
    ],
    source: SOURCES.remoteExam,
  },
  {
    id: 'strength_big_toe',
    title: 'Strength: big toe up',
    plain: { en: 'Lift your big toe', es: 'Subir el dedo gordo con fuerza' },
    looksFor: 'Big-toe extension against resistance, both sides compared.',
    sides: 'compare',
    setUp: 'seat_front',
    minutes: 0.5,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'helper_resists',
        needs: HELPER,
        helper: true,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Lift your big toe. Hold it there and do not let it be moved.',
          es: 'Suba el dedo gordo. Aguante y no deje que se lo muevan.',
        },
        helperInstructions: {
          en: 'Put one finger on top of the big toe. Push down and hold against it.',
          es: 'Ponga un dedo sobre el dedo gordo del pie. Empuje hacia abajo y aguante.',
        },
      },
      {
        id: 'own_hand',
        needs: REACHES_FOOT,
        helper: false,
        value: 0.6,
        misses: 'The patient sets the resistance, so sides can be compared only roughly.',
        fetch: ['prop'],
        instructions: {
          en: 'Lift your big toe. Push down on it with one finger and do not let it move.',
          es: 'Suba el dedo gordo. Empuje hacia abajo con un dedo y no deje que se mueva.',
        },
      },
    ],
    source: `${SOURCES.remoteExam}; own hand: ${SOURCES.practice}`,
  },
  {
    id: 'strength_inner',
    title: 'Strength: resist at the inner border',
    plain: { en: 'Push your foot in', es: 'Empujar el pie hacia dentro' },
    looksFor: 'Inversion against resistance, both sides compared.',
    sides: 'compare',
    setUp: 'seat_front',
    minutes: 0.5,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'helper_resists',
        needs: HELPER,
        helper: true,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Turn your sole in. Hold it there and do not let it be moved.',
          es: 'Gire la planta hacia dentro. Aguante y no deje que se la muevan.',
        },
        helperInstructions: {
          en: 'Put your hand on the inner edge of the foot. Push out and hold against it.',
          es: 'Ponga la mano en el borde de dentro del pie. Empuje hacia fuera y aguante.',
        },
      },
    ],
    source: SOURCES.practice,
  },
  {
    id: 'strength_outer',
    title: 'Strength: resist at the outer border',
    plain: { en: 'Push your foot out', es: 'Empujar el pie hacia fuera' },
    looksFor: 'Eversion against resistance, both sides compared.',
    sides: 'compare',
    setUp: 'seat_front',
    minutes: 0.5,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'helper_resists',
        needs: HELPER,
        helper: true,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Turn your sole out. Hold it there and do not let it be moved.',
          es: 'Gire la planta hacia fuera. Aguante y no deje que se la muevan.',
        },
        helperInstructions: {
          en: 'Put your hand on the outer edge of the foot. Push in and hold against it.',
          es: 'Ponga la mano en el borde de fuera del pie. Empuje hacia dentro y aguante.',
        },
      },
    ],
    source: SOURCES.practice,
  },
]
