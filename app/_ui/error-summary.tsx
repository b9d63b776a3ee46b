'use client'

/** What is wrong, in one place above the form, in exactly the words beside each field. */
import { type MouseEvent, useEffect, useRef } from 'react'
import styles from './error-summary.module.css'
import type { FormError } from './form-state.ts'

type Props = { errors: readonly FormError[]; heading?: string | undefined }

/** Takes the focus when it appears. Each line leads to the first thing to put right. */
export function ErrorSummary({ errors, heading = 'There is a problem' }: Props) {
  const box = useRef<HTMLDivElement>(null)
  useEffect(() => box.current?.focus(), [])
  if (errors.length === 0) return null
  return (
    <div ref={box} tabIndex={-1} className={styles.summary}>
      <div role="alert">
        <h2>{heading}</h2>
        <ul>
          {errors.map((error) => (
            <li key={`${error.field} ${error.message}`}>
              <a href={`#${error.field}`} onClick={showQuestion}>
                {error.message}
              </a>
            </li>
          ))}
        </ul>
      </div>
    </div>
  )
}

/** Brings the question into view, not only its field: the words above it are what has to be read again. */
function showQuestion(event: MouseEvent<HTMLAnchorElement>) {
  const field = document.getElementById(event.currentTarget.hash.slice(1))
  if (!field) return
  event.preventDefault()
  const question = field.closest('fieldset') ?? document.querySelector(`label[for="${CSS.escape(field.id)}"]`) ?? field
  question.scrollIntoView()
  field.focus({ preventScroll: true })
}
