'use client'

/**
 * The line to walk, drawn to scale while its length is typed. It reads the fields of the form that it stands in; without a
 * script it shows the line that was saved.
 */
import { useEffect, useRef, useState } from 'react'
import { Drawn } from '#app/_ui/figures/drawn.tsx'
import { centimetres, geometryOf, type MeasuredSetUp } from '#lib/domain/geometry/measure-set-up.ts'
import { type AskedFact, parseAnswer } from '#lib/domain/home/parse-answer.ts'
import type { Locale, Side } from '#lib/domain/protocol/schema.ts'
import { linePlan } from '#lib/figures/line-plan.ts'
import styles from '../../my.module.css'

/** What of a set-up and a patient the walk follows from. */
export type Walk = { setUp: MeasuredSetUp; statureCm: number | null; side: Side }

type Props = { walk: Walk; fact: AskedFact; lineM: number | null; countedShort: string; locale: Locale }
type Line = { cm: number; isPaced: boolean }

export function LineDrawing({ walk, fact, lineM, countedShort, locale }: Props) {
  const place = useRef<HTMLDivElement>(null)
  const [line, setLine] = useState<Line | null>(lineM === null ? null : { cm: centimetres(lineM), isPaced: false })

  useEffect(() => {
    const form = place.current?.closest('form')
    if (!form) return
    const read = () => setLine(lineIn(form, fact))
    // Somebody may have typed before the script was there.
    read()
    form.addEventListener('input', read)
    return () => form.removeEventListener('input', read)
  }, [fact])

  const geometry = line && geometryOf({ ...walk, supportCm: null, walk: { lineCm: line.cm } })
  const drawing = geometry && linePlan(geometry, locale)
  return (
    <div ref={place} className={styles.line}>
      {drawing && <Drawn drawing={drawing} />}
      <p role="status">
        {drawing?.description}
        {line?.isPaced && geometry?.lane?.fits !== 'yes' && ` ${countedShort}`}
      </p>
    </div>
  )
}

function lineIn(form: HTMLFormElement, fact: AskedFact): Line | null {
  const sent = new FormData(form)
  const unit = sent.get('unit')
  if (typeof unit !== 'string') return null
  const read = parseAnswer(fact, String(sent.get('answer') ?? ''), unit)
  if (!read.ok || typeof read.value !== 'number') return null
  return { cm: centimetres(read.value), isPaced: unit === 'steps' }
}
