/** One question of the protocol as a patient meets it, with the reason it is asked one touch away. */
import { Actions, Button } from '#app/_ui/button.tsx'
import { RadioGroup } from '#app/_ui/radio-group.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { asTyped, unitsFor } from '#lib/domain/home/parse-answer.ts'
import type { Answer } from '#lib/domain/protocol/need.ts'
import type { Fact, Locale } from '#lib/domain/protocol/schema.ts'
import type { Words } from '#lib/words/words.ts'
import styles from '../../my.module.css'
import { LineDrawing, type Walk } from './line-drawing.tsx'

type Props = {
  fact: Fact
  answer: Answer | undefined
  /** What the walk is drawn from, where the question is how long a line there is to walk. */
  walk: Walk | null
  locale: Locale
  t: Words
}

export function QuestionFields(props: Props) {
  const { fact, locale, t } = props
  return (
    <>
      <p className={styles.area}>{t(`home.check.area.${fact.area}`)}</p>
      {fact.kind === 'yes_no' ? <YesNo {...props} /> : <Amount {...props} />}
      <details className={styles.why}>
        <summary>
          <span>{t('home.check.why')}</span>
        </summary>
        <p>{fact.why[locale]}</p>
      </details>
      <Actions>
        <Button>{t('common.continue')}</Button>
        {fact.kind === 'number' && (
          <Button look="plain" name="notSure" value="yes">
            {t('common.notSure')}
          </Button>
        )}
      </Actions>
      <p className={styles.saved}>{t('home.check.saved')}</p>
    </>
  )
}

function YesNo({ fact, answer, locale, t }: Props) {
  return (
    <RadioGroup
      name="answer"
      label={fact.ask[locale]}
      hint={fact.hint?.[locale]}
      value={asTyped(fact, answer).raw}
      layout="large"
      isPageHeading
      options={[
        { value: 'yes', label: t('common.yes') },
        { value: 'no', label: t('common.no') },
        { value: 'not_sure', label: t('common.notSure') },
      ]}
    />
  )
}

/** A figure and its unit. "I am not sure" is a button of its own, so that nobody has to write it. */
function Amount({ fact, answer, walk, locale, t }: Props) {
  const given = asTyped(fact, answer === 'not_sure' ? undefined : answer)
  const units = unitsFor(fact)
  const isInWords = units.includes('ft_in')
  return (
    <>
      <TextField
        name="answer"
        label={fact.ask[locale]}
        hint={fact.hint?.[locale]}
        value={given.raw}
        inputMode={isInWords ? undefined : 'decimal'}
        width={isInWords ? 10 : 4}
        isPageHeading
      />
      {units.length > 1 && (
        <RadioGroup
          name="unit"
          label={t(walk ? 'home.check.line.how' : 'home.check.unit')}
          value={given.unit}
          layout="large"
          options={units.map((unit) => ({
            value: unit,
            label: t(`home.check.units.${unit}`),
            ...((unit === 'steps' || unit === 'shoes') && { hint: t(`home.check.unitHints.${unit}`) }),
          }))}
        />
      )}
      {walk && (
        <>
          <LineDrawing
            walk={walk}
            fact={{ kind: fact.kind, unit: fact.unit, min: fact.min, max: fact.max }}
            lineM={typeof answer === 'number' ? answer : null}
            countedShort={t('home.check.line.countedShort')}
            locale={locale}
          />
          <noscript>
            <Button look="plain" name="draw" value="yes">
              {t('home.check.line.draw')}
            </Button>
          </noscript>
        </>
      )}
    </>
  )
}
