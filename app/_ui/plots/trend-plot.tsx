/** Figures over weeks as lines. Each line has its own mark and dash and is named at its end: colour says nothing here. */
import { scaleLinear, scaleUtc } from 'd3-scale'
import type { TrendTable } from '#lib/domain/learning/report.ts'
import styles from './plots.module.css'

const WIDTH = 760
const HEIGHT = 260
const LEFT = 56
const RIGHT = 90
const TOP = 28
const BOTTOM = 36

const MONTH = new Intl.DateTimeFormat('en-US', { month: 'short', day: 'numeric', timeZone: 'UTC' })

export function TrendPlot({ table }: { table: TrendTable }) {
  const { lines, series, unit, caption } = table
  const at = (on: string) => new Date(`${on}T00:00:00Z`)
  const all = lines.flatMap(({ values }) => values.filter((value) => value !== null))
  const x = scaleUtc([at(lines[0]?.on ?? ''), at(lines.at(-1)?.on ?? '')], [LEFT, WIDTH - RIGHT])
  const y = scaleLinear([0, Math.max(1, ...all)], [HEIGHT - BOTTOM, TOP]).nice(4)
  return (
    <div className={styles.frame}>
      <svg
        className={styles.trend}
        viewBox={`0 0 ${WIDTH} ${HEIGHT}`}
        role="img"
        aria-label={`${caption}, in ${unit}. The same figures stand in the table below.`}
      >
        {y.ticks(4).map((tick) => (
          <g key={tick}>
            <line className={styles.grid} x1={LEFT} x2={WIDTH - RIGHT} y1={y(tick)} y2={y(tick)} />
            <text className={styles.tick} x={LEFT - 8} y={y(tick) + 4} textAnchor="end">
              {tick}
            </text>
          </g>
        ))}
        <text className={styles.tick} x={LEFT - 8} y={TOP - 16} textAnchor="end">
          {unit}
        </text>
        {x.ticks(6).map((tick) => (
          <g key={tick.getTime()}>
            <line className={styles.axis} x1={x(tick)} x2={x(tick)} y1={HEIGHT - BOTTOM} y2={HEIGHT - BOTTOM + 5} />
            <text className={styles.tick} x={x(tick)} y={HEIGHT - BOTTOM + 20} textAnchor="middle">
              {MONTH.format(tick)}
            </text>
          </g>
        ))}
        <line className={styles.axis} x1={LEFT} x2={WIDTH - RIGHT} y1={HEIGHT - BOTTOM} y2={HEIGHT - BOTTOM} />
        {series.map((name, index) => {
          const points = lines.map(({ on, values }) => {
            const value = values[index] ?? null
            return value === null ? null : { x: x(at(on)), y: y(value) }
          })
          const last = points.findLast((point) => point !== null)
          return (
            <g key={name} className={index === 0 ? styles.first : styles.second}>
              <path className={styles.line} d={pathOf(points)} />
              {points.map(
                (point) =>
                  point !== null &&
                  (index === 0 ? (
                    <circle key={point.x} className={styles.dot} cx={point.x} cy={point.y} r="3.5" />
                  ) : (
                    <rect key={point.x} className={styles.few} x={point.x - 3} y={point.y - 3} width="6" height="6" />
                  )),
              )}
              {last && (
                <text className={styles.name} x={last.x + 10} y={last.y + 4}>
                  {name}
                </text>
              )}
            </g>
          )
        })}
      </svg>
    </div>
  )
}

/** A line that breaks where there is no figure. */
function pathOf(points: readonly ({ x: number; y: number } | null)[]): string {
  return points
    .map((point, index) =>
      point === null ? '' : `${points[index - 1] ? 'L' : 'M'}${point.x.toFixed(1)} ${point.y.toFixed(1)}`,
    )
    .join('')
}
