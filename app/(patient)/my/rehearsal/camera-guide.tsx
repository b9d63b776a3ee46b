/** Lines over the picture: between them lies what must be in view. What they say stands in words above the picture. */
import styles from './rehearsal.module.css'

/** One set-up as the camera page needs it. */
export type Guide = {
  id: string
  title: string
  orientation: 'portrait' | 'landscape'
  instructions: string
  /** Words at the lines: the upper and the lower one, or in the middle where the phone is in the hand. */
  labels: { top: string; floor: string; feet: string }
  /** How far down the picture, 0 to 1; null = the phone is in the hand, so only the feet count. */
  lines: { top: number; floor: number } | null
}

const LONG = 160
const SHORT = 90

export function CameraGuide({ guide: { orientation, lines, labels } }: { guide: Guide }) {
  const [width, height] = orientation === 'portrait' ? [SHORT, LONG] : [LONG, SHORT]
  return (
    <svg viewBox={`0 0 ${width} ${height}`} className={styles.guide} aria-hidden="true">
      {lines === null ? (
        <>
          <rect x={width * 0.15} y={height * 0.15} width={width * 0.7} height={height * 0.7} rx="3" />
          <text x={width / 2} y={height * 0.13} textAnchor="middle">
            {labels.feet}
          </text>
        </>
      ) : (
        [
          { at: lines.top, label: labels.top, above: -2 },
          { at: lines.floor, label: labels.floor, above: 7 },
        ].map(({ at, label, above }) => (
          <g key={label}>
            <path d={`M4 ${at * height}H${width - 4}`} />
            <text x="5" y={at * height + above}>
              {label}
            </text>
          </g>
        ))
      )}
    </svg>
  )
}
