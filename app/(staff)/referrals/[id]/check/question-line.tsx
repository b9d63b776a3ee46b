/** One question in the words the patient hears, with its answer beside it. */
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { type AskedUnit, asTyped, unitsFor } from '#lib/domain/home/parse-answer.ts'
import type { Answer } from '#lib/domain/protocol/need.ts'
import type { Fact } from '#lib/domain/protocol/schema.ts'
import styles from './check.module.css'

type Props = { fact: Fact; answer: Answer | undefined; isFirstOpen: boolean }

const NOT_SURE = { value: 'not_sure', label: 'Not sure' }
const UNITS: Record<AskedUnit, string> = {
  ft: 'feet',
  ft_in: 'feet and inches',
  m: 'meters',
  in: 'inches',
  cm: 'centimeters',
  years: 'years',
  days: 'days',
  celsius: '°C',
  steps: 'own steps',
  shoes: 'shoes, heel to toe',
}

export function QuestionLine({ fact, answer, isFirstOpen }: Props) {
  const given = asTyped(fact, answer)
  return (
    <div className={styles.line} id={isFirstOpen ? 'open' : undefined}>
      {/* What the form was opened with: only what was changed is saved, and nobody's newer answer is lost. */}
      <input type="hidden" name={`was-${fact.id}`} value={given.raw} />
      {fact.kind === 'yes_no' ? (
        <RadioGroup
          name={`fact-${fact.id}`}
          label={fact.ask.en}
          hint={fact.hint?.en}
          layout="in_line"
          value={given.raw}
          options={[{ value: 'yes', label: 'Yes' }, { value: 'no', label: 'No' }, NOT_SURE]}
        />
      ) : (
        <>
          <TextField
            name={`fact-${fact.id}`}
            label={fact.ask.en}
            hint={fact.hint?.en}
            value={answer === 'not_sure' ? '' : given.raw}
            inputMode={unitsFor(fact).includes('ft_in') ? undefined : 'decimal'}
            width={unitsFor(fact).includes('ft_in') ? 10 : 4}
          />
          <input type="hidden" name={`wasunit-${fact.id}`} value={given.unit ?? ''} />
          <RadioGroup
            name={`unit-${fact.id}`}
            label="In"
            layout="in_line"
            value={answer === 'not_sure' ? 'not_sure' : (given.unit ?? '')}
            options={[...unitsFor(fact).map((unit) => ({ value: unit, label: UNITS[unit] })), NOT_SURE]}
          />
        </>
      )}
    </div>
  )
}
