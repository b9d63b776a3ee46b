/**
 * Blood flow, calf, feeling.
 *
 * All of these are supportive: none of them clears a clot, a torn tendon or a foot without blood. The calf is left alone
 * while signs of a clot are there or were not asked about.
 */
import type { Station, Text } from '../../schema.ts'
import { HELPER, NO_CLOT_SIGNS, REACHES_FOOT } from '../needs.ts'
import { SOURCES } from '../sources.ts'
import { NO_STANDING } from './standing-ways.ts'

const NO_CALF: Text = {
  en: 'We leave your calf alone until it has been looked at.',
  es: 'No le tocamos la pantorrilla hasta que se la hayan visto.',
}

export const bloodFlowCalfAndFeeling: Station[] = [
  {
    id: 'nail_refill',
    title: 'Toenail refill',
    plain: { en: 'Press the big toenail', es: 'Apretar la uña del dedo gordo' },
    looksFor:
      'Seconds until pink again after 5 seconds of pressure, both sides compared. Supportive only: a slow refill is not a finding alone, a quick one clears nothing.',
    sides: 'compare',
    setUp: 'close_to_foot',
    minutes: 0.5,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'helper_presses',
        needs: { fact: 'helper', is: true },
        helper: true,
        value: 1,
        fetch: [],
        instructions: { en: 'Put your foot up and keep it still.', es: 'Suba el pie y no lo mueva.' },
        helperInstructions: {
          en: 'Hold the phone to the toes. Press the big toenail till it is white, count to five, let go.',
          es: 'Acerque el teléfono a los dedos. Apriete la uña del dedo gordo hasta que esté blanca, cuente cinco y suelte.',
        },
      },
      {
        id: 'self',
        needs: REACHES_FOOT,
        helper: false,
        value: 0.8,
        misses: 'Phone and pressing hand are the same person’s: the picture may shake while the colour returns.',
        fetch: [],
        instructions: {
          en: 'Hold the phone to your toes. Press the big toenail till it is white, count to five, let go.',
          es: 'Acerque el teléfono a los dedos. Apriete la uña del dedo gordo hasta que esté blanca, cuente cinco y suelte.',
        },
      },
    ],
    source: SOURCES.refill,
  },
  {
    id: 'shin_refill',
    title: 'Skin refill above the ankle',
    plain: { en: 'Press your shin', es: 'Apretar la espinilla' },
    looksFor:
      'Seconds until pink again after two fingers press the shin above the ankle; timed by the observer; both sides compared. Supportive only.',
    sides: 'compare',
    setUp: 'close_to_foot',
    minutes: 0.5,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'helper_presses',
        needs: { fact: 'helper', is: true },
        helper: true,
        value: 1,
        fetch: [],
        instructions: { en: 'Keep your leg still.', es: 'No mueva la pierna.' },
        helperInstructions: {
          en: 'Hold the phone to the shin. Press two fingers above the ankle till the skin is white, count to five, let go.',
          es: 'Acerque el teléfono a la espinilla. Apriete con dos dedos sobre el tobillo hasta ver la piel blanca, cuente cinco y suelte.',
        },
      },
      {
        id: 'self',
        needs: REACHES_FOOT,
        helper: false,
        value: 0.8,
        misses: 'Phone and pressing hand are the same person’s: the picture may shake while the colour returns.',
        fetch: [],
        instructions: {
          en: 'Hold the phone to your shin. Press two fingers above the ankle till the skin is white, count to five, let go.',
          es: 'Acerque el teléfono a la espinilla. Apriete con dos dedos sobre el tobillo hasta ver la piel blanca, cuente cinco y suelte.',
        },
      },
    ],
    source: SOURCES.refill,
  },
  {
    id: 'calf_self_squeeze',
    title: 'Own calf squeeze',
    plain: { en: 'Squeeze your own calf', es: 'Apretarse la pantorrilla' },
    looksFor: 'Pain or none when the patient squeezes the own calf, both sides compared. Never clears signs of a clot.',
    sides: 'compare',
    setUp: 'seat_side',
    minutes: 0.5,
    safety: NO_CLOT_SIGNS,
    unsafeBecause: NO_CALF,
    ways: [
      {
        id: 'self',
        needs: { all: [] },
        helper: false,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Let your whole lower leg be seen. Squeeze your calf with your hand. Say if it hurts or not.',
          es: 'Enseñe toda la pierna, de la rodilla al pie. Apriete la parte de atrás con la mano. Diga si le duele o no.',
        },
      },
    ],
    source: SOURCES.practice,
  },
  {
    id: 'calf_strap',
    title: 'Calf pull with a strap',
    plain: { en: 'Pull your foot with a strap', es: 'Tirar del pie con una correa' },
    looksFor: 'Pain in the calf when the foot is pulled up, both sides compared. Never clears signs of a clot.',
    sides: 'compare',
    setUp: 'seat_side',
    minutes: 1,
    safety: NO_CLOT_SIGNS,
    unsafeBecause: NO_CALF,
    ways: [
      {
        id: 'strap',
        needs: { equipment: 'strap' },
        helper: false,
        value: 1,
        fetch: ['prop', 'strap'],
        instructions: {
          en: 'Make your leg straight. Put the strap round your foot and pull it to you. Say if your calf hurts.',
          es: 'Ponga la pierna recta. Pase la correa por el pie y tire hacia usted. Diga si le duele detrás.',
        },
      },
    ],
    source: SOURCES.practice,
  },
  {
    id: 'light_touch',
    title: 'Light touch',
    plain: { en: 'Feel a light touch', es: 'Notar un toque suave' },
    looksFor:
      'Toes 1, 3 and 5, top of the foot, between first and second toe, sole, both borders, inner calf: normal, numb, tingling or sore, each side.',
    sides: 'compare',
    setUp: 'close_to_foot',
    minutes: 1.5,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      {
        id: 'helper_touches',
        needs: { fact: 'helper', is: true },
        helper: true,
        value: 1,
        fetch: [],
        instructions: {
          en: 'Shut your eyes. Say “now” each time you feel a touch, and how it feels.',
          es: 'Cierre los ojos. Diga “ya” cada vez que note un toque, y cómo lo nota.',
        },
        helperInstructions: {
          en: 'Touch each place you are told with one finger, for one second. Do not press.',
          es: 'Toque con un dedo donde le digan, un segundo. No apriete.',
        },
      },
      {
        id: 'self_touches',
        needs: REACHES_FOOT,
        helper: false,
        value: 0.5,
        misses: 'The patient sees and feels the own finger: a mild loss is easily missed.',
        fetch: [],
        instructions: {
          en: 'Touch each place you are told with one finger. Say if it feels the same on both feet.',
          es: 'Toque con un dedo donde le digan. Diga si lo nota igual en los dos pies.',
        },
      },
    ],
    source: SOURCES.touch,
  },
  {
    id: 'tarsal_tap',
    title: 'Tap behind the inner ankle',
    plain: { en: 'Tap behind the ankle bone', es: 'Golpes suaves junto al tobillo' },
    looksFor:
      'Tingling into the sole when the patient taps behind the inner ankle bone, both sides compared. Supportive only: no accuracy is published for tapping oneself.',
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
          en: 'Tap with two fingers behind the bone on the inner side of your ankle. Say if it tingles in your foot.',
          es: 'Dé golpes suaves con dos dedos detrás del hueso de dentro del tobillo. Diga si nota chispas en el pie.',
        },
      },
    ],
    source: SOURCES.tarsalTap,
  },
  {
    id: 'resting_angle',
    title: 'Resting foot angle, face down, knees bent',
    plain: { en: 'Feet at rest, knees bent', es: 'Los pies sueltos, boca abajo' },
    looksFor: 'Angle at which each relaxed foot rests, both in the picture. Supportive only, never clears.',
    sides: 'together',
    setUp: 'face_down',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_CALF,
    ways: [
      {
        id: 'self',
        needs: { all: [] },
        helper: false,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Lie on your front and bend both knees. Let your feet hang loose.',
          es: 'Échese boca abajo y doble las dos rodillas. Deje los pies sueltos.',
        },
      },
    ],
    source: SOURCES.calfSqueeze,
  },
  {
    id: 'calf_squeeze',
    title: 'Calf squeeze, lying face down',
    plain: { en: 'A squeeze of each calf', es: 'Apretar cada pantorrilla' },
    looksFor: 'Does the relaxed foot move when the calf is squeezed? Well side first. Never used to clear.',
    sides: 'compare',
    setUp: 'face_down',
    minutes: 1,
    safety: NO_CLOT_SIGNS,
    unsafeBecause: NO_CALF,
    ways: [
      {
        id: 'helper_squeezes',
        needs: HELPER,
        helper: true,
        value: 1,
        fetch: ['prop'],
        instructions: {
          en: 'Lie on your front with your feet past the end. Let your legs go loose.',
          es: 'Échese boca abajo con los pies por fuera. Deje las piernas sueltas.',
        },
        helperInstructions: {
          en: 'Squeeze the thick part of the calf with one hand and let go. Do it three times on each leg.',
          es: 'Apriete la parte gorda de la pierna con una mano y suelte. Hágalo tres veces en cada pierna.',
        },
      },
    ],
    source: SOURCES.calfSqueeze,
  },
]
