'use client'

/** What a session means, before it is saved: its words, its next dates, and what it takes from visits that are booked. */
import { use, useEffect, useRef } from 'react'
import { Actions, Button } from '#app/_ui/button.tsx'
import { FormContext } from '#app/_ui/form-context.ts'
import styles from '../clinic.module.css'
import type { ShownEffects } from '../effect-words.ts'
import { Shown } from '../effects-notice.tsx'
import { type ShownDate, ShownDates } from './shown-dates.tsx'

export type ShownLook = {
  summary: string
  dates: ShownDate[]
  strays: string[]
  effects: ShownEffects
  /** Stands for all of the above: what is saved must be what was seen. */
  seen: string
}

/** The end of the form. Looking comes first; with nothing looked at there is nothing to save. */
export function SessionPreview() {
  const { values, errors } = use(FormContext)
  const heading = useRef<HTMLHeadingElement>(null)
  // The summary of what is wrong takes the focus where something is.
  useEffect(() => {
    if (errors.length === 0) heading.current?.focus()
  }, [errors.length])
  const look = values.look ? (JSON.parse(values.look) as ShownLook) : null
  if (!look)
    return (
      <Actions>
        <Button name="deed" value="look">
          Show what this means
        </Button>
      </Actions>
    )
  return (
    <>
      <section className={styles.preview} id="look" tabIndex={-1} aria-label="What this means">
        <h2 ref={heading} tabIndex={-1}>
          {look.summary}
        </h2>
        <input type="hidden" name="seen" value={look.seen} />
        <ShownDates label="Its next dates" dates={look.dates} />
        {look.strays.length > 0 && (
          <p>
            What was different on {look.strays.join(', ')} falls away: it no longer opens on{' '}
            {look.strays.length === 1 ? 'that date' : 'those dates'}.
          </p>
        )}
        <Shown effects={look.effects} />
      </section>
      <Actions>
        <Button name="deed" value="save">
          Save this session
        </Button>
        <Button name="deed" value="look" look="plain">
          Look again after a change
        </Button>
      </Actions>
    </>
  )
}
