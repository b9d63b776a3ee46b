'use client'

/** One line of text or one number. Numbers are text fields too: arrows and wheels change figures unseen. */
import type { HTMLAttributes, ReactNode } from 'react'
import { describedBy } from './described-by.ts'
import { FieldFrame, type FieldWords } from './field-frame.tsx'
import styles from './form.module.css'
import { useField } from './form-context.ts'

type Props = FieldWords & {
  name: string
  value?: string | undefined
  error?: string | undefined
  type?: 'text' | 'email' | 'tel' | 'password' | 'date'
  /** The first day that can be given, yyyy-mm-dd. */
  min?: string | undefined
  inputMode?: HTMLAttributes<HTMLInputElement>['inputMode']
  autoComplete?: string | undefined
  spellCheck?: boolean | undefined
  /** Characters expected; the field is as wide as its answer. */
  width?: 2 | 4 | 10 | 20 | undefined
  /** A unit after the field, such as "cm". */
  suffix?: ReactNode
}

export function TextField(props: Props) {
  const { name, type = 'text' } = props
  const { value, error } = useField(name, props.value, props.error)
  return (
    <FieldFrame id={name} {...props} error={error}>
      <span className={styles.affixed}>
        <input
          id={name}
          name={name}
          type={type}
          min={props.min}
          inputMode={props.inputMode}
          autoComplete={props.autoComplete}
          spellCheck={props.spellCheck}
          className={styles.control}
          data-width={props.width}
          defaultValue={type === 'password' ? undefined : value}
          aria-describedby={describedBy(name, { hint: props.hint, error })}
          aria-invalid={error === undefined ? undefined : true}
        />
        {props.suffix !== undefined && <span>{props.suffix}</span>}
      </span>
    </FieldFrame>
  )
}
