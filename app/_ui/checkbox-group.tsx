'use client'

/** Any number of several. With one option it is a single statement to agree to. */
import { Choices, type ChoicesProps } from './choice.tsx'
import { type FieldWords, GroupFrame } from './field-frame.tsx'
import { useField } from './form-context.ts'
import { joinChoices, splitChoices } from './form-state.ts'

type Props = FieldWords & ChoicesProps & { values?: readonly string[] | undefined; error?: string | undefined }

export function CheckboxGroup(props: Props) {
  const { value, error } = useField(props.name, joinChoices(props.values ?? []), props.error)
  const chosen = splitChoices(value)
  return (
    <GroupFrame id={props.name} {...props} error={error}>
      <Choices {...props} type="checkbox" isChosen={(one) => chosen.includes(one)} />
    </GroupFrame>
  )
}
