/**
 * Who may do a standing station, and with whom beside them?
 *
 * The steady stand alone; a person at risk of falling stands only with a helper at arm's reach and something firm to
 * hold. Every station on the feet is made of these two ways, so that none can forget the second.
 */
import type { Need } from '../../need.ts'
import type { Text, Way } from '../../schema.ts'
import { GUARDED, STEADY } from '../needs.ts'

export const NO_STANDING: Text = {
  en: 'We leave this out so that you do not fall or hurt your leg.',
  es: 'Esto no lo hacemos, para que no se caiga ni se haga daño.',
}

const STAY_CLOSE: Text = {
  en: 'Stand close, with a hand near the hips, and hold on if there is a sway. Keep out of the picture.',
  es: 'Póngase cerca, con una mano junto a la cadera, y sujete si hace falta. No tape la cámara.',
}

/** A standing station is done alone by the steady; others have a helper at arm's reach and something to hold. */
export function standingWays(
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
