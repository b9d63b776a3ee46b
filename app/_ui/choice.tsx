/** The choices of a radio or checkbox group. */
import type { ReactNode } from 'react'
import styles from './form.module.css'

export type ChoiceOption = { value: string; label: ReactNode; hint?: ReactNode }

type Type = 'radio' | 'checkbox'
export type ChoicesProps = {
  name: string
  options: readonly ChoiceOption[]
  /** `large`: framed rows for a thumb (patients). `in_line`: short answers beside each other (staff). */
  layout?: 'rows' | 'large' | 'in_line'
}

export function Choices({
  type,
  name,
  options,
  layout = 'rows',
  isChosen,
}: ChoicesProps & { type: Type; isChosen: (value: string) => boolean }) {
  return (
    <div
      className={styles.choices}
      data-large={layout === 'large' ? '' : undefined}
      data-in-line={layout === 'in_line' ? '' : undefined}
    >
      {options.map((option, index) => (
        <Choice
          key={option.value}
          type={type}
          // The first carries the bare name, so that the error summary has somewhere to lead.
          id={index === 0 ? name : `${name}-${option.value}`}
          name={name}
          option={option}
          isChosen={isChosen(option.value)}
        />
      ))}
    </div>
  )
}

type Props = { type: Type; id: string; name: string; option: ChoiceOption; isChosen: boolean }

/** One row: the control left of its label, the whole row a target. */
export function Choice({ type, id, name, option, isChosen }: Props) {
  const hasHint = option.hint !== undefined
  return (
    <label htmlFor={id} className={styles.choice}>
      <input
        type={type}
        id={id}
        name={name}
        value={option.value}
        defaultChecked={isChosen}
        aria-labelledby={`${id}-label`}
        aria-describedby={hasHint ? `${id}-hint` : undefined}
      />
      <span id={`${id}-label`}>{option.label}</span>
      {hasHint && (
        <span id={`${id}-hint`} className={styles.choiceHint}>
          {option.hint}
        </span>
      )}
    </label>
  )
}
