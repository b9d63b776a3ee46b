/**
 * Where the camera and the body are. The placement `shin` carries most of the
 * exam: the phone stays where it is while the patient turns the chair.
 */
import type { SetUp } from '../schema.ts'
import { HIGH_SEAT, LIGHT, PROP, SEAT } from './needs.ts'
import { SOURCES } from './sources.ts'

const AT_SHIN = { placement: 'shin', handheld: false, orientation: 'portrait', heightCm: 30 } as const

export const setUps: SetUp[] = [
  {
    id: 'lane',
    title: { en: 'Walk up and down', es: 'Andar de ida y vuelta' },
    position: 'standing',
    // Both lower legs stay in view (common practice), no more: the knee of somebody 175 cm tall is 50 cm up (0.285 of
    // stature: Drillis and Contini 1966). With 100 cm in view the walk would take a line of 4.8 m, not 4.1 m.
    camera: { ...AT_SHIN, placement: 'lane_end', mustSeeUpToCm: 50 },
    instructions: {
      en: 'Prop the phone at the height of your shin, at one end of the line. Bare feet, legs bare to the knee.',
      es: 'Apoye el teléfono a la altura de la espinilla, al final de la línea. Pies y piernas al aire hasta la rodilla.',
    },
    needs: PROP,
    source: `${SOURCES.remoteSetUp}; height of the shin, lower legs in view: common practice`,
  },
  {
    id: 'stand_back',
    title: { en: 'Stand with your back to the phone', es: 'De pie, de espaldas al teléfono' },
    position: 'standing',
    camera: { ...AT_SHIN, mustSeeUpToCm: 60 },
    facing: 'away',
    instructions: {
      en: 'Prop the phone at the height of your shin, two big steps from you. Turn your back to it. Both heels must show.',
      es: 'Apoye el teléfono a la altura de la espinilla, a dos pasos de usted. Dele la espalda. Se deben ver los dos talones.',
    },
    needs: PROP,
    source: `${SOURCES.remoteSetUp}; height of the shin: common practice`,
  },
  {
    id: 'stand_front',
    title: { en: 'Stand and face the phone', es: 'De pie, de cara al teléfono' },
    position: 'standing',
    camera: { ...AT_SHIN, mustSeeUpToCm: 60 },
    facing: 'to_camera',
    instructions: {
      en: 'Prop the phone at the height of your shin, two big steps from you. Face it. Both feet must show.',
      es: 'Apoye el teléfono a la altura de la espinilla, a dos pasos de usted. Póngase de cara. Se deben ver los dos pies.',
    },
    needs: PROP,
    source: `${SOURCES.remoteSetUp}; height of the shin: common practice`,
  },
  {
    id: 'stand_side',
    title: { en: 'Stand with your side to the phone', es: 'De pie, de lado al teléfono' },
    position: 'standing',
    camera: { ...AT_SHIN, mustSeeUpToCm: 60 },
    facing: 'side',
    instructions: {
      en: 'Prop the phone at the height of your shin, two big steps from you. Stand with your side to it. The foot that moves is next to the phone.',
      es: 'Apoye el teléfono a la altura de la espinilla, a dos pasos. Póngase de lado. El pie que se mueve queda cerca del teléfono.',
    },
    needs: PROP,
    source: `${SOURCES.remoteSetUp}; height of the shin: common practice`,
  },
  {
    id: 'stand_above',
    title: { en: 'Stand and hold the phone over your feet', es: 'De pie, con el teléfono sobre los pies' },
    position: 'standing',
    camera: { placement: 'in_hand', handheld: true, orientation: 'portrait', heightCm: 90, mustSeeUpToCm: 20 },
    facing: 'to_camera',
    instructions: {
      en: 'Stand still with one hand on the wall. Hold the phone over your feet with the other hand. Both feet must show.',
      es: 'De pie y quieto, con una mano en la pared. Con la otra, ponga el teléfono sobre los pies. Se deben ver los dos pies.',
    },
    needs: LIGHT,
    source: SOURCES.practice,
  },
  {
    id: 'seat_front',
    title: { en: 'Sit and face the phone', es: 'En la silla, de cara al teléfono' },
    position: 'seated',
    camera: { ...AT_SHIN, mustSeeUpToCm: 60 },
    facing: 'to_camera',
    instructions: {
      en: 'Sit and face the phone. It stands at the height of your shin. Both feet must show.',
      es: 'Póngase en la silla de cara al teléfono, que está a la altura de la espinilla. Se deben ver los dos pies.',
    },
    needs: { all: [PROP, SEAT] },
    source: `${SOURCES.remoteSetUp}; height of the shin: common practice`,
  },
  {
    id: 'seat_side',
    title: { en: 'Sit with your side to the phone', es: 'En la silla, de lado al teléfono' },
    position: 'seated',
    camera: { ...AT_SHIN, mustSeeUpToCm: 60 },
    facing: 'side',
    instructions: {
      en: 'Turn your chair so that your side is to the phone. The foot that moves is next to the phone.',
      es: 'Gire la silla y póngase de lado al teléfono. El pie que se mueve queda cerca del teléfono.',
    },
    needs: { all: [PROP, SEAT] },
    source: SOURCES.practice,
  },
  {
    id: 'high_seat_side',
    title: { en: 'Sit up high with your side to the phone', es: 'En un asiento alto, de lado al teléfono' },
    position: 'seated',
    // A bar stool (common practice), where the seat's height is not known.
    support: { heightCm: 75, answeredIn: 'seat_cm' },
    camera: { ...AT_SHIN, mustSeeUpToCm: 60 },
    facing: 'side',
    instructions: {
      en: 'Sit on the high seat with your side to the phone. Let your feet hang free.',
      es: 'Use el asiento alto, de lado al teléfono. Deje que los pies cuelguen.',
    },
    needs: { all: [PROP, HIGH_SEAT] },
    source: SOURCES.seat,
  },
  {
    id: 'over_feet',
    title: { en: 'Phone held over your feet', es: 'El teléfono sobre los pies' },
    position: 'seated',
    camera: { placement: 'in_hand', handheld: true, orientation: 'portrait', heightCm: 60, mustSeeUpToCm: 20 },
    instructions: {
      en: 'Sit down. Hold the phone over your feet and look at the screen. Both feet must show.',
      es: 'En la silla, ponga el teléfono sobre los pies y mire la pantalla. Se deben ver los dos pies.',
    },
    needs: LIGHT,
    source: SOURCES.practice,
  },
  {
    id: 'close_to_foot',
    title: { en: 'Phone held close to your foot', es: 'El teléfono cerca del pie' },
    position: 'seated',
    camera: { placement: 'in_hand', handheld: true, orientation: 'portrait', heightCm: 20, mustSeeUpToCm: 30 },
    instructions: {
      en: 'Sit down and cross one leg over the other. Hold the phone as close as a hand is long.',
      es: 'En la silla, cruce una pierna. Ponga el teléfono tan cerca como el largo de una mano.',
    },
    needs: LIGHT,
    source: SOURCES.practice,
  },
  {
    id: 'face_down',
    title: { en: 'Lie on your front, feet past the end', es: 'Boca abajo, con los pies por fuera' },
    position: 'lying',
    // A bed with its mattress (common practice).
    support: { heightCm: 50 },
    // The calf of somebody on a bed of 50 cm ends well under 80 cm, with the hand that squeezes it.
    camera: { placement: 'beside_bed', handheld: false, orientation: 'landscape', heightCm: 60, mustSeeUpToCm: 80 },
    instructions: {
      en: 'Prop the phone next to the end of the bed. Lie on your front. Both feet hang free past the end and must show.',
      es: 'Apoye el teléfono al lado de la cama. Échese boca abajo. Los pies cuelgan por fuera y se deben ver.',
    },
    needs: { all: [PROP, { fact: 'couch', is: true }] },
    source: SOURCES.calfSqueeze,
  },
]
