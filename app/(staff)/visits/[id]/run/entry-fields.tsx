'use client'

import form from '#app/_ui/form.module.css'
/** The fields of the run sheet's forms. Each shows what was just sent and not taken, or else what stands. */
import { useField } from '#app/_ui/form-context.ts'
import styles from './run.module.css'

/** `slot`: the form it is in, as many on the page have fields of the same name. `stands`: what is written down so far. */
type Field = { slot: string; name: string; stands: string }

/** The id of the message about a field, told above its form's fields. */
export const faultId = (slot: string, field: string) => `${slot}-${field}-fault`

function useEntryField({ slot, name, stands }: Field, hintId?: string) {
  const { value, error } = useField(name, stands, undefined)
  const describedBy = [hintId, error === undefined ? undefined : faultId(slot, name)].filter(Boolean).join(' ')
  return {
    value,
    wrong: { 'aria-invalid': error !== undefined || undefined, 'aria-describedby': describedBy || undefined },
  }
}

type RadiosProps<T extends string> = Field & {
  label: string
  /** The form asks nothing else, so what is asked need not be seen. */
  isLabelHeard?: boolean
  options: readonly T[]
  words: Readonly<Record<T, string>>
}

export function Radios<T extends string>({ label, isLabelHeard = false, options, words, ...field }: RadiosProps<T>) {
  const { value, wrong } = useEntryField(field)
  const id = `${field.slot}-${field.name}`
  return (
    <div role="radiogroup" aria-label={label} {...wrong} className={styles.radios}>
      {!isLabelHeard && <span className={styles.of}>{label}</span>}
      {options.map((option) => (
        <label key={option} htmlFor={`${id}-${option}`} className={form.choice}>
          <input
            type="radio"
            id={`${id}-${option}`}
            name={field.name}
            value={option}
            defaultChecked={value === option}
          />
          <span>{words[option]}</span>
        </label>
      ))}
    </div>
  )
}

/** Words in a line. `heard`: its name where the one that is seen stands for two fields. */
export function TextLine({ label, heard, ...field }: Field & { label?: string; heard?: string }) {
  const { value, wrong } = useEntryField(field)
  const id = `${field.slot}-${field.name}`
  const control = (
    <input
      type="text"
      id={id}
      name={field.name}
      aria-label={heard}
      defaultValue={value}
      {...wrong}
      className={styles.control}
    />
  )
  if (label === undefined) return control
  return (
    <label htmlFor={id} className={styles.line}>
      <span>{label}</span>
      {control}
    </label>
  )
}

type ChoiceProps = Field & { heard: string; none: string; options: readonly { value: string; label: string }[] }

export function Choice({ heard, none, options, ...field }: ChoiceProps) {
  const { value, wrong } = useEntryField(field)
  return (
    <select name={field.name} aria-label={heard} defaultValue={value} {...wrong} className={styles.control}>
      <option value="">{none}</option>
      {options.map((option) => (
        <option key={option.value} value={option.value}>
          {option.label}
        </option>
      ))}
    </select>
  )
}

/** A measured number. `id`: where a stopwatch or a tally writes to. */
export function NumberField({ id, hintId, ...field }: Field & { id: string; hintId: string }) {
  const { value, wrong } = useEntryField(field, hintId)
  return (
    <input
      type="text"
      inputMode="decimal"
      id={id}
      name={field.name}
      defaultValue={value}
      {...wrong}
      className={styles.number10}
    />
  )
}
