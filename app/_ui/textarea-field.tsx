'use client'

import { describedBy } from './described-by.ts'
/** Several lines of text, such as a reason in somebody's own words. */
import { FieldFrame, type FieldWords } from './field-frame.tsx'
import styles from './form.module.css'
import { useField } from './form-context.ts'

type Props = FieldWords & {
  name: string
  value?: string | undefined
  error?: string | undefined
  rows?: number | undefined
}

export function TextareaField(props: Props) {
  const { name } = props
  const { value, error } = useField(name, props.value, props.error)
  return (
    <FieldFrame id={name} {...props} error={error}>
      <textarea
        id={name}
        name={name}
        rows={props.rows ?? 4}
        className={styles.control}
        defaultValue={value}
        aria-describedby={describedBy(name, { hint: props.hint, error })}
        aria-invalid={error === undefined ? undefined : true}
      />
    </FieldFrame>
  )
}
