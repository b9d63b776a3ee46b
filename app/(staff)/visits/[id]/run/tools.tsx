'use client'

/** What is taken beside the picture: time to a tenth of a second, and a count. Each writes into the field next to it. */
import { useEffect, useRef, useState } from 'react'
import { useScript } from '#app/_ui/use-script.ts'
import styles from './run.module.css'

/** Sets a field as if it were typed, so that the form hears of it. */
function write(fieldId: string, value: string): void {
  const field = document.getElementById(fieldId)
  if (!(field instanceof HTMLInputElement)) return
  Object.getOwnPropertyDescriptor(HTMLInputElement.prototype, 'value')?.set?.call(field, value)
  field.dispatchEvent(new Event('input', { bubbles: true }))
}

type StopwatchProps = {
  label: string
  /** The label is seen beside it. */
  isNamed?: boolean
  /** The field that takes the seconds when it is stopped. */
  writesTo?: string
}

/** Counts up. */
export function Stopwatch({ label, isNamed = false, writesTo }: StopwatchProps) {
  const [since, setSince] = useState<number | null>(null)
  const [ms, setMs] = useState(0)
  useEffect(() => {
    if (since === null) return
    const beat = setInterval(() => setMs(performance.now() - since), 100)
    return () => clearInterval(beat)
  }, [since])
  if (!useScript()) return null
  const press = () => {
    const at = performance.now()
    if (since === null) {
      setMs(0)
      setSince(at)
      return
    }
    setMs(at - since)
    setSince(null)
    if (writesTo !== undefined) write(writesTo, ((at - since) / 1000).toFixed(1))
  }
  return (
    <span className={styles.tool}>
      {isNamed && <span aria-hidden="true">{label}</span>}
      <button
        type="button"
        className={styles.tap}
        onClick={press}
        aria-label={`${since === null ? 'Start' : 'Stop'}: ${label}`}
      >
        {since === null ? 'Start' : 'Stop'}
      </button>
      <span className={styles.digits} role="timer" aria-label={label}>
        {(ms / 1000).toFixed(1)} s
      </span>
    </span>
  )
}

/** One tap a time. */
export function Tally({ label, writesTo }: { label: string; writesTo: string }) {
  const [count, setCount] = useState(0)
  const first = useRef(true)
  if (!useScript()) return null
  const step = (by: number) => {
    const field = document.getElementById(writesTo)
    const stood = first.current && field instanceof HTMLInputElement ? Number(field.value) || 0 : count
    first.current = false
    const next = Math.max(0, stood + by)
    setCount(next)
    write(writesTo, String(next))
  }
  return (
    <span className={styles.tool}>
      <button type="button" className={styles.tap} onClick={() => step(1)} aria-label={`Count +1: ${label}`}>
        Count +1
      </button>
      <button type="button" className={styles.small} onClick={() => step(-1)} aria-label={`−1: ${label}`}>
        −1
      </button>
    </span>
  )
}
