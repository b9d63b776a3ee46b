/** A measured length: a thin line with a stroke across each end, and its words beside it. */
import styles from './figures.module.css'

const TICK = 5
const GAP = 8
const LINE = 17

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

/** Upright, with the words in two lines on its outer side, so that they stay clear of what is measured. */
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
  const [metric = '', ...inches] = children.split(/ (?=\()/)
  const at = side === 'left' ? x - GAP : x + GAP
  // Never under the floor, however low the height.
  const up = Math.min((from + to) / 2, from - LINE - TICK)
  return (
    <g className={styles.measure}>
      <path d={`M${x} ${from}V${to}M${x - TICK} ${from}h${2 * TICK}M${x - TICK} ${to}h${2 * TICK}`} />
      <text textAnchor={side === 'left' ? 'end' : 'start'} className={styles.words}>
        <tspan x={at} y={up}>
          {metric}
        </tspan>{' '}
        <tspan x={at} y={up + LINE}>
          {inches.join(' ')}
        </tspan>
      </text>
    </g>
  )
}
