/** What staff call a station and a way of doing it; by their codes where the protocol no longer has them. */
import type { Protocol } from '#lib/domain/protocol/schema.ts'

export function wayNames(
  protocols: readonly Protocol[],
): (of: { protocolId: string; stationId: string; wayId: string }) => { station: string; way: string } {
  const titles = new Map(
    protocols.flatMap(({ id, stations }) => stations.map((station) => [`${id} ${station.id}`, station.title])),
  )
  return ({ protocolId, stationId, wayId }) => ({
    station: titles.get(`${protocolId} ${stationId}`) ?? stationId.replaceAll('_', ' '),
    way: wayId.replaceAll('_', ' '),
  })
}
