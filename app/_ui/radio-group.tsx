'use client'

/** One of a few. Nothing is chosen beforehand. */
import { Choices, type ChoicesProps } from './choice.tsx'
import { type FieldWords, GroupFrame } from './field-frame.tsx'
import { useField } from './form-context.ts'

type Props = FieldWords & ChoicesProps & { value?: string | undefined; error?: string | undefined }

export function RadioGroup(props: Props) {
  const { value, error } = useField(props.name, props.value, props.error)
  return (
    <GroupFrame id={props.name} {...props} error={error}>
      <Choices {...props} type="radio" isChosen={(one) => one === value} />
    </GroupFrame>
  )
}
