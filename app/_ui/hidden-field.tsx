'use client'

/** A value that a form carries along unseen. After a refused submit it is what the action sent back, like any field. */
import { useField } from './form-context.ts'

export function HiddenField({ name, value }: { name: string; value: string }) {
  const field = useField(name, value, undefined)
  return <input type="hidden" name={name} value={field.value} readOnly />
}
