/**
 * A set-up's measures in words, in both unit systems, for the figures and for whoever can't see them. Distances are
 * rounded up, because a room that is said too short ends the walk; heights are rounded to the nearest.
 * 1 in = 2.54 cm, 1 ft = 0.3048 m exactly (international yard and pound agreement, 1959).
 */

import { WALK_STEPS } from '#lib/domain/geometry/measure-set-up.ts'
import type { Lane, SetUpGeometry } from '#lib/domain/geometry/set-up-geometry.ts'
import { feetAndInches } from '#lib/domain/home/parse-answer.ts'
import type { Locale } from '#lib/domain/protocol/schema.ts'

const CM_PER_INCH = 2.54
const CM_PER_FOOT = 30.48
/** From here on people think in metres and feet. */
const LONG_CM = 100

/** A distance, rounded up: "53 cm (21 in)", "4.9 m (16 ft)". */
export function distanceWords(cm: number): string {
  const up = (value: number, grain: number) => Math.ceil(value / grain - 1e-9)
  if (cm < LONG_CM) return `${up(cm, 1)} cm (${up(cm, CM_PER_INCH)} in)`
  // Half feet and tenths of a metre are as fine as anybody paces.
  return `${up(cm, 10) / 10} m (${up(cm, CM_PER_FOOT / 2) / 2} ft)`
}

/** What there is of a distance, rounded down: a room is not said longer than it was told. */
export function clearWords(cm: number): string {
  const down = (value: number, grain: number) => Math.floor(value / grain + 1e-9)
  // Feet were rounded down to a centimetre when they were kept: 40 ft are told as 40 ft again.
  const kept = cm + 0.99
  if (cm < LONG_CM) return `${down(cm, 1)} cm (${down(kept, CM_PER_INCH)} in)`
  return `${down(cm, 10) / 10} m (${down(kept, CM_PER_FOOT / 2) / 2} ft)`
}

/** A height, to the nearest: "30 cm (12 in)". */
export function heightWords(cm: number): string {
  return `${Math.round(cm)} cm (${Math.round(cm / CM_PER_INCH)} in)`
}

/** How tall somebody is: "170 cm (5 ft 7 in)". */
function statureWords(cm: number): string {
  return `${Math.round(cm)} cm (${feetAndInches(Math.round(cm / CM_PER_INCH))})`
}

type Say = { en: string; es: string }
const ORIENTATIONS: Record<SetUpGeometry['camera']['orientation'], Say> = {
  portrait: { en: 'upright', es: 'vertical' },
  landscape: { en: 'on its side', es: 'horizontal' },
}
const POSES: Record<SetUpGeometry['position'], Say> = {
  standing: { en: 'You stand', es: 'Usted está de pie' },
  seated: { en: 'You sit', es: 'Usted está en la silla' },
  lying: { en: 'You lie on your front,', es: 'Usted está boca abajo' },
}

/** The words that stand in a figure. */
export const FIGURE_WORDS: Record<
  'floorPlan' | 'elevation' | 'left' | 'right' | 'turn' | 'steps' | 'line' | 'takes',
  Say
> = {
  floorPlan: { en: 'From above', es: 'Desde arriba' },
  elevation: { en: 'From the side', es: 'De lado' },
  left: { en: 'L', es: 'I' },
  right: { en: 'R', es: 'D' },
  turn: { en: 'turn', es: 'giro' },
  steps: { en: 'steps', es: 'pasos' },
  line: { en: 'Your line', es: 'Su línea' },
  takes: { en: 'The walk takes', es: 'Hacen falta' },
}

/** All that a set-up's figures show, as sentences. */
export function captionOf(geometry: SetUpGeometry, locale: Locale): string {
  return [measuresOf(geometry, locale), personOf(geometry, locale)].filter((each) => each !== null).join(' ')
}

/** How tall the person is that it is drawn for; null where that makes no difference. */
export function personOf({ camera, body }: SetUpGeometry, locale: Locale): string | null {
  if (camera.handheld) return null
  const tall = statureWords(body.statureCm)
  return locale === 'es' ? `El dibujo es para una persona de ${tall} de alto.` : `Drawn for a person ${tall} tall.`
}

/** Where the phone and the patient are, and the room that it takes. */
export function measuresOf(geometry: SetUpGeometry, locale: Locale): string {
  const { camera, standOffCm, seen, lane, position, roomCm } = geometry
  const say = (en: string, es: string) => (locale === 'es' ? es : en)
  const how = ORIENTATIONS[camera.orientation][locale]
  const sentences: string[] = []
  if (camera.handheld) {
    const far = heightWords(camera.heightCm)
    sentences.push(
      say(`The phone is in the hand, ${far} from the feet.`, `El teléfono está en la mano, a ${far} de los pies.`),
    )
  } else {
    const high = heightWords(camera.heightCm)
    const far = distanceWords(standOffCm)
    const top = heightWords(seen.upToCm)
    sentences.push(
      say(`The phone stands ${how}, ${high} above the floor.`, `El teléfono está ${how}, a ${high} del suelo.`),
      lane === null
        ? say(`${POSES[position].en} ${far} or more from it.`, `${POSES[position].es}, a ${far} o más de él.`)
        : say(`${POSES[position].en} ${far} from it.`, `${POSES[position].es}, a ${far} de él.`),
      seen.fromCm === 0
        ? say(`It sees from the floor up to ${top}.`, `Se ve desde el suelo hasta ${top} de alto.`)
        : say(
            `It sees from ${heightWords(seen.fromCm)} up to ${top} above the floor.`,
            `Se ve desde ${heightWords(seen.fromCm)} hasta ${top} de alto.`,
          ),
    )
  }
  if (lane !== null) {
    const need = distanceWords(roomCm)
    sentences.push(
      say(
        `${lane.steps} steps are ${distanceWords(lane.walkCm)}, with ${distanceWords(lane.turnCm)} more to turn: a clear line of ${need}.`,
        `${lane.steps} pasos son ${distanceWords(lane.walkCm)}, y ${distanceWords(lane.turnCm)} más para girar: una línea libre de ${need}.`,
      ),
    )
    sentences.push(...fitWords(lane, locale))
  }
  return sentences.join(' ')
}

/** The line at home against the walk, as sentences; empty where it is not known or nobody walks. */
export function lineWords({ lane, roomCm }: SetUpGeometry, locale: Locale): string {
  if (lane === null || lane.haveCm === null) return ''
  const [have, need] = [clearWords(lane.haveCm), distanceWords(roomCm)]
  const line =
    locale === 'es'
      ? `Su línea mide ${have}. ${lane.steps} pasos, el giro y la distancia al teléfono ocupan ${need}.`
      : `Your line is ${have}. ${lane.steps} steps, the turn and the space to the phone take ${need}.`
  return [line, ...fitWords(lane, locale)].join(' ')
}

function fitWords(lane: Lane, locale: Locale): string[] {
  const say = (en: string, es: string) => (locale === 'es' ? es : en)
  const more = distanceWords(lane.shortOfCm ?? 0)
  const rest = say('A hall or an open door may give the rest.', 'Un pasillo o una puerta abierta puede dar el resto.')
  switch (lane.fits) {
    case 'not_known':
      return []
    case 'yes':
      return [say('Your line is long enough.', 'Su línea es suficiente.')]
    case 'fewer':
      return [
        say(
          `That fits your line. For ${WALK_STEPS} steps it would need ${more} more.`,
          `Eso cabe en su línea. Para ${WALK_STEPS} pasos le faltan ${more}.`,
        ),
        rest,
      ]
    case 'no':
      return [say(`Your line is ${more} too short for that.`, `A su línea le faltan ${more} para eso.`), rest]
  }
}
