/**
 * How far do the joints go, first by the muscles alone and then with a hand's help?
 */
import type { Station } from '../../schema.ts'
import { REACHES_FOOT } from '../needs.ts'
import { SOURCES } from '../sources.ts'
import { NO_STANDING } from './standing-ways.ts'

export const movement: Station[] = [
  {
    id: 'ankle_up_down',
    title: 'Ankle up and down, active',
    plain: { en: 'Foot up and down', es: 'El pie arriba y abajo' },
    looksFor: 'Active dorsiflexion and plantarflexion, knee bent, both sides compared; pain at the ends.',
    sides: 'compare',
    setUp: 'high_seat_side',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'high_seat',
        needs: { all: [] },
        helper: false,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Let your foot hang. Pull it up as far as you can, then point it down. Do it three times.',
          es: 'Deje que el pie cuelgue. Súbalo todo lo que pueda y luego bájelo. Hágalo tres veces.',
        },
      },
      {
        id: 'low_seat',
        setUp: 'seat_side',
        needs: { all: [] },
        helper: false,
        value: 0.8,
        misses: 'The knee is less bent, so a tight calf may hold the ankle back.',
        fetch: ['prop'],
        instructions: {
          en: 'Hold your foot out off the floor. Pull it up as far as you can, then point it down. Do it three times.',
          es: 'Estire la pierna sin tocar el suelo. Suba el pie todo lo que pueda y luego bájelo. Hágalo tres veces.',
        },
      },
    ],
    source: SOURCES.seat,
  },
  {
    id: 'ankle_up_down_hand',
    title: 'Ankle up and down, helped by the own hand',
    plain: { en: 'Help your foot up and down', es: 'Subir y bajar el pie con la mano' },
    looksFor:
      'How much further the hand takes the ankle than the muscles did, knee bent; pain at the ends; both sides compared.',
    sides: 'compare',
    setUp: 'seat_side',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'hand',
        needs: REACHES_FOOT,
        helper: false,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Rest one foot on the other knee. Push your foot up with your hand, then down, as far as it goes. Say if it hurts.',
          es: 'Ponga un pie sobre la otra rodilla. Lleve el pie con la mano hacia arriba y luego hacia abajo, todo lo que pueda. Diga si le duele.',
        },
      },
      {
        id: 'strap',
        needs: { equipment: 'strap' },
        helper: false,
        value: 0.6,
        misses: 'Only the way up is helped; the way down is not shown.',
        fetch: ['prop', 'strap'],
        instructions: {
          en: 'Keep your knee bent. Put the strap round your foot and pull it up, as far as it goes. Say if it hurts.',
          es: 'Doble la rodilla. Pase la correa por el pie y tire hacia arriba, todo lo que pueda. Diga si le duele.',
        },
      },
    ],
    source: `${SOURCES.remoteExam}; by the own hand: ${SOURCES.practice}`,
  },
  {
    id: 'calf_length',
    title: 'Ankle up with the knee straight, no hand',
    plain: { en: 'Foot up, leg straight', es: 'El pie arriba, pierna recta' },
    looksFor: 'Active dorsiflexion with the knee straight against the knee bent: a tight calf.',
    sides: 'compare',
    setUp: 'seat_side',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'self',
        needs: { all: [] },
        helper: false,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Make your leg straight. Pull your foot up as far as you can. Do not use your hand.',
          es: 'Ponga la pierna recta. Suba el pie todo lo que pueda. No use la mano.',
        },
      },
    ],
    source: SOURCES.calfLength,
  },
  {
    id: 'ankle_side',
    title: 'Ankle side to side, active',
    plain: { en: 'Foot in and out', es: 'El pie a un lado y al otro' },
    looksFor: 'Active inversion and eversion, both sides compared; tendons behind the outer ankle.',
    sides: 'compare',
    setUp: 'seat_front',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'self',
        needs: { all: [] },
        helper: false,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Lift your foot off the floor. Keep your knee still and turn the sole in, then out.',
          es: 'Levante el pie del suelo. Sin mover la rodilla, gire la planta hacia dentro y luego hacia fuera.',
        },
      },
    ],
    source: SOURCES.practice,
  },
  {
    id: 'ankle_side_hand',
    title: 'Ankle side to side, helped by the own hand',
    plain: { en: 'Help your foot in and out', es: 'Girar el pie con la mano' },
    looksFor:
      'How much further the hand turns the heel in and out than the muscles did; stiffness; both sides compared.',
    sides: 'compare',
    setUp: 'seat_front',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'hand',
        needs: REACHES_FOOT,
        helper: false,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Rest one foot on the other knee. Hold your heel and turn the sole in, then out. Say if it hurts.',
          es: 'Ponga un pie sobre la otra rodilla. Sujete el talón y gire la planta hacia dentro y luego hacia fuera. Diga si le duele.',
        },
      },
    ],
    source: `${SOURCES.remoteExam}; by the own hand: ${SOURCES.practice}`,
  },
  {
    id: 'big_toe_range',
    title: 'Big toe up and down through its range',
    plain: { en: 'Big toe up and down', es: 'El dedo gordo arriba y abajo' },
    looksFor: 'Active, then hand-helped range; pain in the middle or at the end; clicking or grinding.',
    sides: 'compare',
    setUp: 'seat_side',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'hand',
        needs: REACHES_FOOT,
        helper: false,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Move your big toe up, then down. Then help it with your hand. Say if it hurts, clicks or grinds.',
          es: 'Suba y baje el dedo gordo. Luego ayude con la mano. Diga si duele, cruje o roza.',
        },
      },
      {
        id: 'no_hand',
        needs: { all: [] },
        helper: false,
        value: 0.6,
        misses: 'No hand-helped range: the end of the range and grinding are not shown.',
        fetch: ['prop'],
        instructions: {
          en: 'Move your big toe up, then down, as far as you can. Say if it hurts or clicks.',
          es: 'Suba y baje el dedo gordo todo lo que pueda. Diga si duele o cruje.',
        },
      },
    ],
    source: SOURCES.bigToe,
  },
]
