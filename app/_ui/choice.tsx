/** One row of a radio or checkbox group: the control left of its label, the whole row a target. */
import type { ReactNode } from 'react'
import styles from './form.module.css'

export type ChoiceOption = { value: string; label: ReactNode; hint?: ReactNode }

type Props = { type: 'radio' | 'checkbox'; id: string; name: string; option: ChoiceOption; isChosen: boolean }

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
