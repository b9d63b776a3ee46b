'use client'

import { describedBy } from './described-by.ts'
/** One of many, for staff. Patients get radios: a list that opens hides the choice. */
import { FieldFrame, type FieldWords } from './field-frame.tsx'
import styles from './form.module.css'
import { useField } from './form-context.ts'

type Props = FieldWords & {
  name: string
  options: readonly { value: string; label: string }[]
  /** What stands there while nothing is chosen, such as "Choose a state". */
  none?: string | undefined
  value?: string | undefined
  error?: string | undefined
}

export function SelectField(props: Props) {
  const { name } = props
  const { value, error } = useField(name, props.value, props.error)
  return (
    <FieldFrame id={name} {...props} error={error}>
      <select
        id={name}
        name={name}
        className={styles.control}
        data-width="20"
        defaultValue={value}
        aria-describedby={describedBy(name, { hint: props.hint, error })}
        aria-invalid={error === undefined ? undefined : true}
      >
        {props.none !== undefined && <option value="">{props.none}</option>}
        {props.options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.label}
          </option>
        ))}
      </select>
    </FieldFrame>
  )
}
