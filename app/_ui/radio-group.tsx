'use client'

/** One of a few. Nothing is chosen beforehand. */
import { Choice, type ChoiceOption } from './choice.tsx'
import { type FieldWords, GroupFrame } from './field-frame.tsx'
import styles from './form.module.css'
import { useField } from './form-context.ts'

type Props = FieldWords & {
  name: string
  options: readonly ChoiceOption[]
  value?: string | undefined
  error?: string | undefined
  /** `large`: framed rows for a thumb (patients). `in_line`: short answers beside each other (staff). */
  layout?: 'rows' | 'large' | 'in_line'
}

export function RadioGroup(props: Props) {
  const { name, layout = 'rows' } = props
  const { value, error } = useField(name, props.value, props.error)
  return (
    <GroupFrame id={name} {...props} error={error}>
      <div
        className={styles.choices}
        data-large={layout === 'large' ? '' : undefined}
        data-in-line={layout === 'in_line' ? '' : undefined}
      >
        {props.options.map((option, index) => (
          <Choice
            key={option.value}
            type="radio"
            // The first carries the bare name, so that the error summary has somewhere to lead.
            id={index === 0 ? name : `${name}-${option.value}`}
            name={name}
            option={option}
            isChosen={option.value === value}
          />
        ))}
      </div>
    </GroupFrame>
  )
}
