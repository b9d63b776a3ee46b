/**
 * The demonstration protocol for the foot and ankle, as one document.
 *
 * It needs sign-off by a clinic's licensed lead before it is used on patients;
 * every threshold in it is data that the clinic can change.
 */
import type { Protocol } from '../schema.ts'
import { conditions } from './conditions.ts'
import { equipment } from './equipment.ts'
import { derived, facts } from './facts.ts'
import { homeRules, redFlags } from './red-flags.ts'
import { setUps } from './set-ups.ts'
import { SOURCES } from './sources.ts'
import { precedence, stations } from './stations.ts'

/** The document as it is stored and loaded. */
export const footAndAnkle: Protocol = {
  schemaVersion: 1,
  id: 'foot_and_ankle',
  version: 1,
  region: 'foot_and_ankle',
  title: { en: 'Foot and ankle', es: 'Pie y tobillo' },
  demonstration: true,
  facts,
  helperFact: 'helper',
  derived,
  equipment,
  setUps,
  stations,
  conditions,
  redFlags,
  homeRules,
  precedence,
  costs: {
    moveCameraSec: 40,
    changePositionSec: 20,
    callHelperSec: 30,
    releaseHelperSec: 10,
    source: SOURCES.practice,
  },
  weights: { essential: 4, useful: 2, optional: 1, source: SOURCES.practice },
}
