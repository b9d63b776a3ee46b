'use client'

/** One choice out of several days: a radio group whose options stand under the day they belong to. */
import { Choice, type ChoiceOption } from './choice.tsx'
import { GroupFrame } from './field-frame.tsx'
import styles from './form.module.css'
import { useField } from './form-context.ts'

type Props = {
  name: string
  days: readonly { date: string; label: string; hint?: string | undefined; options: readonly ChoiceOption[] }[]
  layout?: 'rows' | 'large'
}

/** The message stands above the first day; what was chosen before is chosen no more once it is gone. */
export function DayChoices({ name, days, layout = 'rows' }: Props) {
  const { value, error } = useField(name, undefined, undefined)
  return days.map((day, dayIndex) => (
    <GroupFrame
      key={day.date}
      id={`${name}-${day.date}`}
      label={day.label}
      hint={day.hint}
      error={dayIndex === 0 ? error : undefined}
    >
      <div className={styles.choices} data-large={layout === 'large' ? '' : undefined}>
        {day.options.map((option, index) => (
          <Choice
            key={option.value}
            type="radio"
            // The first carries the bare name, so that the error summary has somewhere to lead.
            id={dayIndex === 0 && index === 0 ? name : `${name}-${option.value}`}
            name={name}
            option={option}
            isChosen={option.value === value}
          />
        ))}
      </div>
    </GroupFrame>
  ))
}
