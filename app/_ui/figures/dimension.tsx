/** A measured length: a thin line with a stroke across each end, and its words beside it. */
import styles from './figures.module.css'

const TICK = 5
const GAP = 6

/** Across, with the words under the line. */
export function WidthOf({ from, to, y, children }: { from: number; to: number; y: number; children: string }) {
  return (
    <g className={styles.measure}>
      <path d={`M${from} ${y}H${to}M${from} ${y - TICK}v${2 * TICK}M${to} ${y - TICK}v${2 * TICK}`} />
      <text x={(from + to) / 2} y={y + 16} textAnchor="middle" className={styles.words}>
        {children}
      </text>
    </g>
  )
}

/** Upright, with the words beside its upper end. */
export function HeightOf({
  x,
  from,
  to,
  side,
  children,
}: {
  x: number
  from: number
  to: number
  side: 'left' | 'right'
  children: string
}) {
  return (
    <g className={styles.measure}>
      <path d={`M${x} ${from}V${to}M${x - TICK} ${from}h${2 * TICK}M${x - TICK} ${to}h${2 * TICK}`} />
      <text
        x={side === 'left' ? x + GAP : x - GAP}
        y={to - GAP}
        textAnchor={side === 'left' ? 'end' : 'start'}
        className={styles.words}
      >
        {children}
      </text>
    </g>
  )
}
