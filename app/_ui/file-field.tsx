/** A file to bring in. Its form posts to a route handler: a server action takes 1 MB at most. */

import { describedBy } from './described-by.ts'
import { FieldFrame, type FieldWords } from './field-frame.tsx'
import styles from './form.module.css'

type Props = FieldWords & { name: string; accept: string; error?: string | undefined }

export function FileField(props: Props) {
  const { name, error } = props
  return (
    <FieldFrame id={name} {...props} error={error}>
      <input
        id={name}
        name={name}
        type="file"
        accept={props.accept}
        className={styles.control}
        aria-describedby={describedBy(name, { hint: props.hint, error })}
        aria-invalid={error === undefined ? undefined : true}
      />
    </FieldFrame>
  )
}
