/** In which set-up is a station done? In its own, unless the chosen way names another. */
import { invariant } from '#lib/base/invariant.ts'
import type { Protocol, SetUp, Station, Way } from './schema.ts'

/** The set-up of a station when it is done in a given way. */
export function setUpOf(protocol: Protocol, station: Station, way: Way): SetUp {
  const id = way.setUp ?? station.setUp
  const setUp = protocol.setUps.find((each) => each.id === id)
  invariant(setUp, `the protocol has the set-up "${id}"`)
  return setUp
}
