'use client'

/** The file with a whole document, with what is wrong with it beside it. */
import { FileField } from '#app/_ui/file-field.tsx'
import { useField } from '#app/_ui/form-context.ts'

export function DocumentField() {
  const { error } = useField('document', undefined, undefined)
  return (
    <FileField
      name="document"
      label="A changed document"
      hint="A JSON file of this draft, 1 MB at most."
      accept="application/json,.json"
      error={error}
    />
  )
}
