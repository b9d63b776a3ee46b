/**
 * The stations of a foot and ankle exam by video, in the clinic's house order.
 *
 * What is active, visible and done by the patient works at home; what needs a
 * clinician's hands is not here. A lesser way says what it does not show.
 */
import type { Need } from '../need.ts'
import type { Station, Text, Way } from '../schema.ts'
import { GUARDED, HELPER, MAY_STAND, NO_CLOT_SIGNS, REACHES_FOOT, STEADY, SUPPORT } from './needs.ts'
import { SOURCES } from './sources.ts'

const NO_STANDING: Text = {
  en: 'We leave this out so that you do not fall or hurt your leg.',
  es: 'Esto no lo hacemos, para que no se caiga ni se haga daño.',
}
const NO_CALF: Text = {
  en: 'We leave your calf alone until it has been looked at.',
  es: 'No le tocamos la pantorrilla hasta que se la hayan visto.',
}
const STAY_CLOSE: Text = {
  en: 'Stand close, with a hand near the hips, and hold on if there is a sway. Keep out of the picture.',
  es: 'Póngase cerca, con una mano junto a la cadera, y sujete si hace falta. No tape la cámara.',
}

/** A standing station is done alone by the steady; others have a helper at arm's reach and something to hold. */
function standingWays(
  base: { needs: Need[]; fetch: string[]; value?: number; misses?: string; suffix?: string },
  instructions: Text,
): Way[] {
  const { needs, fetch, value = 1, misses, suffix = '' } = base
  const lesser = misses === undefined ? {} : { misses }
  return [
    { id: `alone${suffix}`, needs: { all: [STEADY, ...needs] }, helper: false, value, ...lesser, fetch, instructions },
    {
      id: `guarded${suffix}`,
      needs: { all: [GUARDED, ...needs] },
      helper: true,
      value,
      ...lesser,
      fetch,
      instructions,
      helperInstructions: STAY_CLOSE,
    },
  ]
}

const WALK: Text = {
  en: 'Walk away from the phone, turn, and walk back. Do it twice, as you do each day.',
  es: 'Ande hasta el fondo, gire y vuelva. Hágalo dos veces, como anda cada día.',
}
const PUSH_DOWN: Text = {
  en: 'Push your foot down like on a gas pedal. Hold it there and do not let it be moved.',
  es: 'Empuje el pie hacia abajo, como al pisar el freno. Aguante y no deje que se lo muevan.',
}
const PULL_UP: Text = {
  en: 'Pull your foot up to your shin. Hold it there and do not let it be moved.',
  es: 'Suba el pie hacia la espinilla. Aguante y no deje que se lo muevan.',
}

export const stations: Station[] = [
  {
    id: 'walk',
    title: 'Ordinary walk',
    plain: { en: 'Walk', es: 'Andar' },
    looksFor: 'Step length, foot angle, arch and heel through stance, limp, turning; four steps each way.',
    sides: 'together',
    setUp: 'lane',
    minutes: 2,
    safety: MAY_STAND,
    unsafeBecause: NO_STANDING,
    ways: [
      ...standingWays({ needs: [{ fact: 'lane_m', atLeast: 4.1, unit: 'm' }], fetch: ['prop'] }, WALK),
      ...standingWays(
        {
          needs: [{ fact: 'lane_m', atLeast: 2.5, unit: 'm' }],
          fetch: ['prop'],
          value: 0.5,
          misses: 'Fewer than four steps each way: stride and cadence do not settle.',
          suffix: '_short',
        },
        WALK,
      ),
    ],
    source: SOURCES.lane,
  },
  {
    id: 'posture_behind',
    title: 'Standing posture from behind',
    plain: { en: 'How you stand', es: 'Cómo está de pie' },
    looksFor: 'Heel tilt, arch, toes seen at the outer side, calf bulk, both sides compared.',
    sides: 'together',
    setUp: 'stand_back',
    minutes: 1,
    safety: MAY_STAND,
    unsafeBecause: NO_STANDING,
    ways: standingWays(
      { needs: [], fetch: ['prop'] },
      {
        en: 'Stand with your back to the phone and your feet as wide as your hips. Keep still.',
        es: 'Póngase de espaldas al teléfono, con los pies algo abiertos. No se mueva.',
      },
    ),
    source: SOURCES.remoteExam,
  },
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
    looksFor: 'Toes 1, 3 and 5, top, sole, both borders, first web space: normal, numb, tingling or sore.',
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
    id: 'heel_raise_single',
    title: 'Single-leg heel raises',
    plain: { en: 'Rise up on one foot', es: 'De puntillas en un pie' },
    looksFor: 'Starts on one foot; heel turns in as it rises; arch lifts; count and pain, both sides compared.',
    sides: 'compare',
    setUp: 'stand_back',
    minutes: 1,
    safety: MAY_STAND,
    unsafeBecause: NO_STANDING,
    ways: standingWays(
      { needs: [SUPPORT], fetch: ['prop'] },
      {
        en: 'Hold on to the wall. Stand on one foot first. Rise up on your toes, then come down slowly. Stop if it hurts.',
        es: 'Apóyese en la pared. Póngase sobre un solo pie. Suba de puntillas y baje poco a poco. Pare si le duele.',
      },
    ),
    source: SOURCES.heelRise,
  },
  {
    id: 'block_stand',
    title: 'Standing on a block',
    plain: { en: 'Stand on a block', es: 'De pie sobre un taco' },
    looksFor: 'Heel and outer border on the block, ball of the big toe off it: does the heel straighten?',
    sides: 'compare',
    setUp: 'stand_back',
    minutes: 1,
    safety: MAY_STAND,
    unsafeBecause: NO_STANDING,
    ways: standingWays(
      { needs: [SUPPORT, { equipment: 'block' }], fetch: ['prop', 'block'] },
      {
        en: 'Hold on to the wall. Put your heel and the outer edge of your foot on the block. Let the big toe hang off it.',
        es: 'Apóyese en la pared. Ponga el talón y el borde de fuera del pie en el taco. El dedo gordo queda en el aire.',
      },
    ),
    source: SOURCES.block,
  },
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
]
