/**
 * What is done on the feet: walking, standing, rising and balance.
 *
 * Each is closed while weight must not be borne or the risk of a fall is not answered, and each says so.
 */
import type { Station, Text } from '../../schema.ts'
import { MAY_STAND, REACHES_FOOT, SUPPORT } from '../needs.ts'
import { SOURCES } from '../sources.ts'
import { NO_STANDING, standingWays } from './standing-ways.ts'

const WALK: Text = {
  en: 'Walk away from the phone, turn, and walk back. Do it twice, as you do each day.',
  es: 'Ande hasta el fondo, gire y vuelva. Hágalo dos veces, como anda cada día.',
}

export const walkingAndStanding: Station[] = [
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
    id: 'toe_walk',
    title: 'Walk on the toes',
    plain: { en: 'Walk on your toes', es: 'Andar de puntillas' },
    looksFor: 'Both heels stay up; strength of the calf under load, heel position, limp; as well as the patient can.',
    sides: 'together',
    setUp: 'lane',
    minutes: 1,
    safety: MAY_STAND,
    unsafeBecause: NO_STANDING,
    ways: [
      ...standingWays(
        { needs: [SUPPORT, { fact: 'lane_m', atLeast: 4.1, unit: 'm' }], fetch: ['prop'] },
        {
          en: 'Walk on your toes as well as you can, there and back. Keep a hand near the wall. Stop if it hurts.',
          es: 'Ande de puntillas lo mejor que pueda, de ida y de vuelta. Ponga una mano cerca de la pared. Pare si le duele.',
        },
      ),
      ...standingWays(
        {
          needs: [SUPPORT, { fact: 'lane_m', atLeast: 2.5, unit: 'm' }],
          fetch: ['prop'],
          value: 0.6,
          misses: 'Fewer than four steps: a heel that sinks with tiredness is not shown.',
          suffix: '_short',
        },
        {
          en: 'Walk on your toes as well as you can, there and back. Keep a hand near the wall. Stop if it hurts.',
          es: 'Ande de puntillas lo mejor que pueda, de ida y de vuelta. Ponga una mano cerca de la pared. Pare si le duele.',
        },
      ),
    ],
    source: `${SOURCES.lane}; on the toes: ${SOURCES.practice}`,
  },
  {
    id: 'heel_walk',
    title: 'Walk on the heels',
    plain: { en: 'Walk on your heels', es: 'Andar con los talones' },
    looksFor: 'Both fronts of the feet stay up; strength of pull-up under load; as well as the patient can.',
    sides: 'together',
    setUp: 'lane',
    minutes: 1,
    safety: MAY_STAND,
    unsafeBecause: NO_STANDING,
    ways: [
      ...standingWays(
        { needs: [SUPPORT, { fact: 'lane_m', atLeast: 4.1, unit: 'm' }], fetch: ['prop'] },
        {
          en: 'Walk on your heels as well as you can, there and back. Keep a hand near the wall. Stop if it hurts.',
          es: 'Ande con los talones lo mejor que pueda, de ida y de vuelta. Ponga una mano cerca de la pared. Pare si le duele.',
        },
      ),
      ...standingWays(
        {
          needs: [SUPPORT, { fact: 'lane_m', atLeast: 2.5, unit: 'm' }],
          fetch: ['prop'],
          value: 0.6,
          misses: 'Fewer than four steps: a foot that drops with tiredness is not shown.',
          suffix: '_short',
        },
        {
          en: 'Walk on your heels as well as you can, there and back. Keep a hand near the wall. Stop if it hurts.',
          es: 'Ande con los talones lo mejor que pueda, de ida y de vuelta. Ponga una mano cerca de la pared. Pare si le duele.',
        },
      ),
    ],
    source: `${SOURCES.lane}; on the heels: ${SOURCES.practice}`,
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
    id: 'posture_above',
    title: 'Standing posture from above',
    plain: { en: 'Your feet from above', es: 'Los pies desde arriba' },
    looksFor: 'Foot shape under load: big toe and lesser toes, width, where the foot points, both sides compared.',
    sides: 'together',
    setUp: 'stand_above',
    minutes: 0.5,
    safety: MAY_STAND,
    unsafeBecause: NO_STANDING,
    ways: [
      ...standingWays(
        { needs: [SUPPORT], fetch: [] },
        {
          en: 'Stand with your feet as wide as your hips. Hold the phone over your feet and look at the screen.',
          es: 'De pie, con los pies algo abiertos, ponga el teléfono sobre los pies y mire la pantalla.',
        },
      ),
    ],
    source: SOURCES.practice,
  },
  {
    id: 'heel_raise_double',
    title: 'Heel raises, both legs',
    plain: { en: 'Rise up on both feet', es: 'De puntillas con los dos pies' },
    looksFor: 'Do both heels rise and turn in; arch; weight shared by both legs; pain.',
    sides: 'together',
    setUp: 'stand_back',
    minutes: 1,
    safety: MAY_STAND,
    unsafeBecause: NO_STANDING,
    ways: [
      ...standingWays(
        { needs: [SUPPORT], fetch: ['prop'] },
        {
          en: 'Hold on to the wall. Rise up on your toes with both feet, then come down slowly. Do it five times. Stop if it hurts.',
          es: 'Apóyese en la pared. Suba de puntillas con los dos pies y baje poco a poco. Hágalo cinco veces. Pare si le duele.',
        },
      ),
    ],
    source: `${SOURCES.heelRise}; both legs first: ${SOURCES.practice}`,
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
    id: 'single_leg_stance',
    title: 'Single-leg stance',
    plain: { en: 'Stand on one leg', es: 'De pie en una pierna' },
    looksFor: 'Seconds up to ten, sway, use of the hands, both sides compared.',
    sides: 'compare',
    setUp: 'stand_front',
    minutes: 0.5,
    safety: MAY_STAND,
    unsafeBecause: NO_STANDING,
    ways: [
      ...standingWays(
        { needs: [SUPPORT], fetch: ['prop'] },
        {
          en: 'Stand next to the wall or counter with a hand close to it. Lift one foot and count to ten. Hold on if you sway.',
          es: 'Póngase junto a la pared o al mueble con una mano cerca. Levante un pie y cuente diez. Sujétese si hace falta.',
        },
      ),
    ],
    source: SOURCES.balance,
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
    id: 'lunge_wall',
    title: 'Weight-bearing lunge to a wall',
    plain: { en: 'Bend your knee to the wall', es: 'Doblar la rodilla hacia la pared' },
    looksFor: 'Longest distance from toe to wall with the knee touching and the heel down, both sides compared.',
    sides: 'compare',
    setUp: 'stand_side',
    minutes: 1,
    safety: MAY_STAND,
    unsafeBecause: NO_STANDING,
    ways: [
      ...standingWays(
        { needs: [SUPPORT, { equipment: 'tape' }], fetch: ['prop', 'tape'] },
        {
          en: 'Face the wall and hold on to it. Bend your knee to touch it and keep your heel down. Move your foot back bit by bit. Tell us the distance from toe to wall.',
          es: 'Póngase de cara a la pared y apóyese. Doble la rodilla hasta tocarla sin levantar el talón. Aleje el pie poco a poco. Díganos cuánto hay del dedo a la pared.',
        },
      ),
      ...standingWays(
        {
          needs: [SUPPORT],
          fetch: ['prop'],
          value: 0.6,
          misses: 'No distance is measured: only a clear difference between the sides shows.',
          suffix: '_by_eye',
        },
        {
          en: 'Face the wall and hold on to it. Bend your knee to touch it and keep your heel down. Move your foot back bit by bit.',
          es: 'Póngase de cara a la pared y apóyese. Doble la rodilla hasta tocarla sin levantar el talón. Aleje el pie poco a poco.',
        },
      ),
    ],
    source: SOURCES.practice,
  },
  {
    id: 'windlass',
    title: 'Big toe up under load',
    plain: { en: 'Toe up, foot flat', es: 'El dedo gordo hacia arriba' },
    looksFor: 'Arch that lifts and pain at the heel when the big toe is bent up.',
    sides: 'compare',
    setUp: 'stand_side',
    minutes: 1,
    safety: { all: [] },
    unsafeBecause: NO_STANDING,
    ways: [
      ...standingWays(
        {
          needs: [{ fact: 'not_weight_bearing', is: false }, SUPPORT, { equipment: 'block' }],
          fetch: ['prop', 'block'],
        },
        {
          en: 'Hold on to the wall. Stand on the block with your toes past its edge. Bend your knee so that you lean on that foot. Lift your big toe with no hand. Say if the heel hurts.',
          es: 'Apóyese en la pared. Suba al taco con los dedos por fuera del borde. Cargue ese pie y levante el dedo gordo sin la mano. Diga si le duele el talón.',
        },
      ),
      {
        id: 'seated_by_hand',
        setUp: 'close_to_foot',
        needs: REACHES_FOOT,
        helper: false,
        value: 0.5,
        misses: 'No weight on the foot: far fewer sore heels hurt like this.',
        fetch: [],
        instructions: {
          en: 'Rest one foot on the other knee. Pull your toes up with your hand. Say if the heel hurts.',
          es: 'Ponga un pie sobre la otra rodilla. Tire de los dedos hacia arriba con la mano. Diga si le duele el talón.',
        },
      },
    ],
    source: SOURCES.heelPain,
  },
]
