'use client'

/** Any number of several. With one option it is a single statement to agree to. */
import { Choice, type ChoiceOption } from './choice.tsx'
import { type FieldWords, GroupFrame } from './field-frame.tsx'
import styles from './form.module.css'
import { useField } from './form-context.ts'
import { joinChoices, splitChoices } from './form-state.ts'

type Props = FieldWords & {
  name: string
  options: readonly ChoiceOption[]
  values?: readonly string[] | undefined
  error?: string | undefined
  /** `in_line`: short answers beside each other (staff). */
  layout?: 'rows' | 'large' | 'in_line'
}

export function CheckboxGroup(props: Props) {
  const { name, layout = 'rows' } = props
  const { value, error } = useField(name, joinChoices(props.values ?? []), props.error)
  const chosen = splitChoices(value)
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
            type="checkbox"
            id={index === 0 ? name : `${name}-${option.value}`}
            name={name}
            option={option}
            isChosen={chosen.includes(option.value)}
          />
        ))}
      </div>
    </GroupFrame>
  )
}
