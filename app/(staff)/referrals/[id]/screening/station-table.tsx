/** Stations of one importance: how each will be done, or what closes it. */
import { Mark } from '#app/_ui/mark.tsx'
import { RuledTable } from '#app/_ui/ruled.tsx'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import { reasonFor } from '#lib/domain/screening/explain.ts'
import type { StationScreening, Truth } from '#lib/domain/screening/screening.ts'
import styles from './screening.module.css'

const STATES: Record<Truth, { state: 'done' | 'cannot' | 'waiting'; words: string }> = {
  yes: { state: 'done', words: 'Can be done' },
  no: { state: 'cannot', words: 'Cannot' },
  not_known: { state: 'waiting', words: 'Not known' },
}

type Props = { caption: string; stations: readonly StationScreening[]; protocol: Protocol }

export function StationTable({ caption, stations, protocol }: Props) {
  return (
    <div className={styles.stations}>
      <RuledTable caption={caption} head={['Station', 'At this home', 'How, or what closes it']}>
        {stations.map((screened) => {
          const { state, words } = STATES[screened.can]
          return (
            <tr key={screened.stationId}>
              <th scope="row">{protocol.stations.find(({ id }) => id === screened.stationId)?.title}</th>
              <td>
                <Mark state={state}>{words}</Mark>
              </td>
              <td>{screened.can === 'yes' ? wayWords(screened, protocol) : reasonFor(screened, protocol)}</td>
            </tr>
          )
        })}
      </RuledTable>
    </div>
  )
}

/** "With a helper", "Alone; does not show …" */
function wayWords({ stationId, way }: StationScreening, protocol: Protocol): string {
  if (way === null) return ''
  const misses = protocol.stations.find(({ id }) => id === stationId)?.ways.find(({ id }) => id === way.id)?.misses
  return `${way.helper ? 'With a helper' : 'Alone'}${misses ? `; misses: ${misses}` : ''}`
}
