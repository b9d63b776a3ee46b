'use client'

/** Signs to tick, gravest first; what only matters beside a sign is asked under it, once that is ticked. */
import type { ReactNode } from 'react'
import { Choice } from '#app/_ui/choice.tsx'
import { type FieldWords, GroupFrame } from '#app/_ui/field-frame.tsx'
import { useField } from '#app/_ui/form-context.ts'
import { splitChoices } from '#app/_ui/form-state.ts'
import styles from './symptoms.module.css'

type Tick = { value: string; label: string }
export type SignGroup = {
  heading: string
  /** What to do first, between the heading and the signs. */
  lead?: ReactNode
  signs: (Tick & { also: Tick[] })[]
}

type Props = Pick<FieldWords, 'label' | 'hint'> & {
  name: string
  groups: readonly SignGroup[]
  /** Above what is asked under a sign. */
  alsoWord: string
}

export function SignFields({ name, label, hint, groups, alsoWord }: Props) {
  const { value, error } = useField(name, '', undefined)
  const chosen = splitChoices(value)
  const first = groups[0]?.signs[0]?.value
  const idOf = (tick: Tick) => (tick.value === first ? name : `${name}-${tick.value}`)
  const choice = (tick: Tick) => (
    <Choice type="checkbox" id={idOf(tick)} name={name} option={tick} isChosen={chosen.includes(tick.value)} />
  )
  return (
    <GroupFrame id={name} label={label} hint={hint} isPageHeading error={error}>
      {groups.map(({ heading, lead, signs }) => (
        <fieldset key={heading} className={styles.group}>
          <legend className={styles.legend}>
            <h2>{heading}</h2>
          </legend>
          {lead}
          {signs.map((sign) => (
            <div key={sign.value} className={styles.sign}>
              {choice(sign)}
              {sign.also.length > 0 && (
                <fieldset className={styles.also} aria-describedby={`${idOf(sign)}-label`}>
                  <legend>{alsoWord}</legend>
                  {sign.also.map((tick) => (
                    <div key={tick.value}>{choice(tick)}</div>
                  ))}
                </fieldset>
              )}
            </div>
          ))}
        </fieldset>
      ))}
    </GroupFrame>
  )
}
