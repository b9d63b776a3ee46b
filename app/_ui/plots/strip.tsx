/**
 * A plot that is a column of its table: each line has its own strip, and all strips stand on the axis in the column's head.
 * Whoever hears the table has the same figures in its cells, so the drawing itself is left out there.
 */
import { type ScaleLinear, scaleLinear } from 'd3-scale'
import type { DaysSpread } from '#lib/domain/learning/report.ts'
import type { Share } from '#lib/domain/learning/share.ts'
import styles from './plots.module.css'

const WIDTH = 260
const EDGE = 20
const HEIGHT = 24
const MIDDLE = HEIGHT / 2

export type StripScale = { x: ScaleLinear<number, number>; ticks: number[]; words: (tick: number) => string }

/** From nothing to what the longest interval needs, at most everything. */
export function shareScale(shares: readonly Share[]): StripScale {
  const widest = Math.max(0.1, ...shares.filter(({ of }) => of > 0).map(({ high }) => high))
  const x = scaleLinear([0, Math.min(1, widest)], [EDGE, WIDTH - EDGE]).nice(4)
  return { x, ticks: x.ticks(4), words: (tick) => `${Math.round(tick * 100)} %` }
}

export function daysScale(spreads: readonly DaysSpread[]): StripScale {
  const longest = Math.max(1, ...spreads.map(({ nineTenths }) => nineTenths ?? 0))
  const x = scaleLinear([0, longest], [EDGE, WIDTH - EDGE]).nice(4)
  return { x, ticks: x.ticks(4), words: (tick) => `${tick} d` }
}

const axisId = (id: string) => `axis-${id}`

/** The axis in the head of the column. Whoever hears the head is told why its cells are silent. */
export function StripAxis({ id, scale: { x, ticks, words } }: { id: string; scale: StripScale }) {
  return (
    <>
      <span className={styles.heard}>The same, drawn</span>
      <svg className={styles.strip} viewBox={`0 0 ${WIDTH} ${HEIGHT}`} aria-hidden="true">
        <g id={axisId(id)}>
          {ticks.map((tick) => (
            <g key={tick}>
              <line className={styles.axis} x1={x(tick)} x2={x(tick)} y1={HEIGHT - 5} y2={HEIGHT} />
              <text className={styles.tick} x={x(tick)} y={HEIGHT - 9} textAnchor="middle">
                {words(tick)}
              </text>
            </g>
          ))}
        </g>
      </svg>
    </>
  )
}

/** The same axis once more, for a row that stands by itself. */
export function RowAxis({ id }: { id: string }) {
  return (
    <svg className={`${styles.strip} ${styles.rowAxis}`} viewBox={`0 0 ${WIDTH} ${HEIGHT}`} aria-hidden="true">
      <use href={`#${axisId(id)}`} />
    </svg>
  )
}

/** The share as a dot on its 95 % interval. A share of few has an open dot. */
export function ShareStrip({ scale, share, isFew }: { scale: StripScale; share: Share; isFew: boolean }) {
  const { x } = scale
  if (share.share === null) return <Grid scale={scale} />
  return (
    <Grid scale={scale}>
      <line className={styles.reach} x1={x(share.low)} x2={x(share.high)} y1={MIDDLE} y2={MIDDLE} />
      <circle className={isFew ? styles.few : styles.dot} cx={x(share.share)} cy={MIDDLE} r="4.5" />
    </Grid>
  )
}

/** The middle half as a bar, its median as a notch, and a line to nine tenths. */
export function DaysStrip({ scale, spread }: { scale: StripScale; spread: DaysSpread }) {
  const { x } = scale
  const { quarter, median, threeQuarters, nineTenths } = spread
  if (quarter === null || median === null || threeQuarters === null || nineTenths === null)
    return <Grid scale={scale} />
  return (
    <Grid scale={scale}>
      <line className={styles.reach} x1={x(threeQuarters)} x2={x(nineTenths)} y1={MIDDLE} y2={MIDDLE} />
      <rect className={styles.half} x={x(quarter)} width={x(threeQuarters) - x(quarter)} y={MIDDLE - 5} height="10" />
      <line className={styles.median} x1={x(median)} x2={x(median)} y1={MIDDLE - 9} y2={MIDDLE + 9} />
    </Grid>
  )
}

function Grid({ scale: { x, ticks }, children }: { scale: StripScale; children?: React.ReactNode }) {
  return (
    <svg className={styles.strip} viewBox={`0 0 ${WIDTH} ${HEIGHT}`} aria-hidden="true">
      {ticks.map((tick) => (
        <line key={tick} className={styles.grid} x1={x(tick)} x2={x(tick)} y1="0" y2={HEIGHT} />
      ))}
      {children}
    </svg>
  )
}
