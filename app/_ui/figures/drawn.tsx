/** A drawing on a page. */
import { useId } from 'react'
import { type Drawing, type Shape, WORDS_LINE } from '#lib/figures/drawing.ts'
import styles from './figures.module.css'

const ANCHORS = { left: 'start', middle: 'middle', right: 'end' } as const

export function Drawn({ drawing: { width, height, title, description, shapes } }: { drawing: Drawing }) {
  // The same set-up may be drawn twice on a page.
  const id = useId()
  return (
    <svg viewBox={`0 0 ${width} ${height}`} role="img" aria-labelledby={id} className={styles.drawing}>
      <title id={id}>{title}</title>
      <desc>{description}</desc>
      {shapes.map((shape) => (
        <Stroke key={JSON.stringify(shape)} shape={shape} />
      ))}
    </svg>
  )
}

function Stroke({ shape }: { shape: Shape }) {
  if ('path' in shape) return <path className={styles[shape.hand]} d={shape.path} />
  if ('circle' in shape) {
    const { at, radius } = shape.circle
    return <circle className={styles[shape.hand]} cx={at[0]} cy={at[1]} r={radius} />
  }
  if ('box' in shape) {
    const { at, ...size } = shape.box
    return <rect className={styles[shape.hand]} x={at[0]} y={at[1]} {...size} rx="2" />
  }
  const [x, y] = shape.at
  const [only, ...more] = shape.words
  return (
    <text x={x} y={y} textAnchor={ANCHORS[shape.align]} className={styles.words}>
      {only}
      {more.map((line) => (
        <tspan key={line} x={x} dy={WORDS_LINE}>
          {` ${line}`}
        </tspan>
      ))}
    </text>
  )
}
