/** The fields of a thing as a form shows them: a text's two languages beside each other, many short choices in lines. */
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { TextareaField } from '#app/_ui/textarea-field.tsx'
import { type Field, type FieldGroup, STANDS } from '#lib/domain/versions/fields.ts'
import styles from '../../../../protocol.module.css'

const SHORT = 40

export function FieldGroups({ groups }: { groups: readonly FieldGroup[] }) {
  return groups.map(({ heading, fields }) => (
    <fieldset key={heading} className={styles.group}>
      <legend>{heading}</legend>
      {fields[0]?.paths[0]?.includes(STANDS) ? (
        <div className={styles.lines}>
          {fields.map((field) => (
            <OneField key={field.paths[0]} field={field} />
          ))}
        </div>
      ) : (
        rowsOf(fields).map((row) =>
          row.length === 1 && row[0] ? (
            <OneField key={row[0].paths[0]} field={row[0]} />
          ) : (
            <div key={row[0]?.paths[0]} className={styles.pair}>
              {row.map((field) => (
                <OneField key={field.paths[0]} field={field} />
              ))}
            </div>
          ),
        )
      )}
    </fieldset>
  ))
}

/** English and Spanish of a text, and a number with what it is counted in, belong together. */
function rowsOf(fields: readonly Field[]): Field[][] {
  const rows: Field[][] = []
  for (const field of fields) {
    const name = field.paths[0] ?? ''
    const before = rows.at(-1)
    const stem = name.slice(0, name.lastIndexOf('.'))
    const goesWith = /\.(es|unit)$/.test(name) && before?.[0]?.paths[0]?.startsWith(`${stem}.`)
    if (before && goesWith) before.push(field)
    else rows.push([field])
  }
  return rows
}

function OneField({ field: { paths, label, kind, value, unit, hint, options, leftOutWith } }: { field: Field }) {
  const words = {
    name: paths[0] ?? '',
    label,
    value,
    hint,
    optional: leftOutWith === undefined ? undefined : 'optional',
  }
  switch (kind) {
    case 'number':
      return <TextField {...words} width={4} inputMode="decimal" suffix={unit} />
    case 'text':
      return <TextareaField {...words} rows={value.length > SHORT ? 4 : 2} />
    case 'line':
      return <TextField {...words} />
    case 'choice':
    case 'yes_no':
      return <SelectField {...words} options={options ?? []} optional={undefined} />
  }
}
