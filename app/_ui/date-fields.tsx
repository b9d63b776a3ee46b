'use client'

/**
 * A date somebody knows, such as a birth date: three text fields, typed, never a calendar to page through.
 * They are sent as `<name>-day`, `<name>-month`, `<name>-year`; `readDate` (date-words.ts) makes a date of them.
 */
import { type FieldWords, GroupFrame } from './field-frame.tsx'
import styles from './form.module.css'
import { useField } from './form-context.ts'

const PARTS = ['month', 'day', 'year'] as const
type Part = (typeof PARTS)[number]

const EN: Record<Part, string> = { month: 'Month', day: 'Day', year: 'Year' }

type Props = FieldWords & {
  name: string
  /** yyyy-mm-dd */
  value?: string | undefined
  error?: string | undefined
  /** For a person's own birth date: the browser may fill it in. */
  isBirthDate?: boolean | undefined
  parts?: Record<Part, string> | undefined
}

export function DateFields(props: Props) {
  const { name } = props
  const { error } = useField(name, undefined, props.error)
  const [year, month, day] = (props.value ?? '').split('-')
  const given: Record<Part, string | undefined> = { year, month: unpadded(month), day: unpadded(day) }
  return (
    <GroupFrame id={name} {...props} error={error}>
      <div className={styles.dates}>
        {PARTS.map((part, index) => (
          <DatePart
            key={part}
            // The first carries the bare name, so that the error summary has somewhere to lead.
            id={index === 0 ? name : `${name}-${part}`}
            name={`${name}-${part}`}
            label={(props.parts ?? EN)[part]}
            value={given[part]}
            width={part === 'year' ? 4 : part === 'month' ? 10 : 2}
            autoComplete={props.isBirthDate ? `bday-${part}` : undefined}
            isNumeric={part !== 'month'}
            isWrong={error !== undefined}
          />
        ))}
      </div>
    </GroupFrame>
  )
}

type PartProps = {
  id: string
  name: string
  label: string
  value: string | undefined
  width: number
  autoComplete: string | undefined
  isNumeric: boolean
  isWrong: boolean
}

function DatePart(props: PartProps) {
  const { value } = useField(props.name, props.value, undefined)
  return (
    <label htmlFor={props.id}>
      {props.label}
      <input
        id={props.id}
        name={props.name}
        className={styles.control}
        data-width={props.width}
        inputMode={props.isNumeric ? 'numeric' : undefined}
        autoComplete={props.autoComplete}
        defaultValue={value}
        aria-invalid={props.isWrong ? true : undefined}
      />
    </label>
  )
}

function unpadded(part: string | undefined): string | undefined {
  return part?.replace(/^0/, '')
}
