/** What stands around every field: its question, its hint, its message. One frame, so that all of them agree. */
import type { ReactNode } from 'react'
import { describedBy } from './described-by.ts'
import styles from './form.module.css'

export type FieldWords = {
  label: string
  /** One short sentence, without links. */
  hint?: string | undefined
  /** Set when the field may be left empty; its words, such as "optional". */
  optional?: string | undefined
  /** The question is the page's heading: one question per page. */
  isPageHeading?: boolean | undefined
}

type Props = FieldWords & { id: string; error: string | undefined; children: ReactNode }

/** A single control with its label. */
export function FieldFrame({ id, label, hint, optional, isPageHeading, error, children }: Props) {
  const question = (
    <label htmlFor={id} className={styles.label}>
      {label}
      <Optional words={optional} />
    </label>
  )
  return (
    <div className={styles.field} data-wrong={error === undefined ? undefined : ''}>
      {isPageHeading ? <h1 className={styles.heading}>{question}</h1> : question}
      <HintAndError id={id} hint={hint} error={error} />
      {children}
    </div>
  )
}

/** Several controls that answer one question. */
export function GroupFrame({ id, label, hint, optional, isPageHeading, error, children }: Props) {
  const question = (
    <>
      {label}
      <Optional words={optional} />
    </>
  )
  return (
    <fieldset
      className={styles.field}
      aria-describedby={describedBy(id, { hint, error })}
      data-wrong={error === undefined ? undefined : ''}
    >
      <legend className={styles.label}>
        {isPageHeading ? <h1 className={styles.heading}>{question}</h1> : question}
      </legend>
      <HintAndError id={id} hint={hint} error={error} />
      {children}
    </fieldset>
  )
}

function Optional({ words }: { words: string | undefined }) {
  return words === undefined ? null : <span className={styles.optional}> ({words})</span>
}

function HintAndError({ id, hint, error }: { id: string; hint: string | undefined; error: string | undefined }) {
  return (
    <>
      {hint !== undefined && (
        <p id={`${id}-hint`} className={styles.hint}>
          {hint}
        </p>
      )}
      {error !== undefined && (
        <p id={`${id}-error`} className={styles.error}>
          {error}
        </p>
      )}
    </>
  )
}
