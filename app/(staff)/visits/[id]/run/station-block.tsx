/** One station of the run sheet: the words to say, and for each side the quick entry with its tools and what is published. */
import type { FormAction } from '#app/_ui/form-state.ts'
import { TimeText } from '#app/_ui/time-text.tsx'
import { valueField } from '#lib/domain/outcomes/read-entry.ts'
import { disputed, rangeWords } from '#lib/domain/outcomes/references.ts'
import {
  JUDGEMENT_WORDS,
  JUDGEMENTS,
  REASON_WORDS,
  REASONS,
  RECORDED_RESULTS,
  RESULT_WORDS,
} from '#lib/domain/outcomes/vocabulary.ts'
import type { Locale, Measure, Side, Station } from '#lib/domain/protocol/schema.ts'
import type { RunStation, Stands } from '#lib/usecases/read-run-sheet.ts'
import { SIDE_WORDS } from '../../../referrals/words.ts'
import { EntryForm } from './entry-form.tsx'
import styles from './run.module.css'
import { slotOf } from './slot.ts'
import { Stopwatch, Tally } from './tools.tsx'

type Common = { action: FormAction; newId: () => string; isLocked: boolean; timeZone: string; language: Locale }

export function StationBlock({ number, run, ...common }: { number: number; run: RunStation } & Common) {
  const { station, way } = run
  return (
    <section className={styles.station} aria-labelledby={`title-${station.id}`}>
      <h3 id={`title-${station.id}`}>
        <span className={styles.number}>{number}</span> {station.title}
      </h3>
      <p>{station.looksFor}</p>
      {way.misses !== undefined && <p className={styles.soft}>Lesser way: {way.misses}</p>}
      <dl className={styles.say}>
        <div>
          <dt>Say to the patient</dt>
          <dd>
            {common.language === 'es' && <p lang="es">{way.instructions.es}</p>}
            <p>{way.instructions.en}</p>
          </dd>
        </div>
        {run.helper && way.helperInstructions && (
          <div>
            <dt>Say to the helper</dt>
            <dd>
              {common.language === 'es' && <p lang="es">{way.helperInstructions.es}</p>}
              <p>{way.helperInstructions.en}</p>
            </dd>
          </div>
        )}
      </dl>
      <div className={styles.turns}>
        {run.turns.map(({ side, stands }) => (
          <Turn key={side} station={station} wayId={way.id} side={side} stands={stands} {...common} />
        ))}
      </div>
    </section>
  )
}

type TurnProps = { station: Station; wayId: string; side: Side; stands: Stands | null } & Common

function Turn({ station, wayId, side, stands, action, newId, isLocked, timeZone }: TurnProps) {
  const measures = station.measures ?? []
  const subject = { kind: 'station' as const, stationId: station.id, side, wayId }
  const slot = slotOf({ ...subject, fields: {} })
  const value = (field: string) => stands?.fields[field] ?? ''
  const name = `${station.title}, ${SIDE_WORDS[side].toLowerCase()}`
  return (
    <fieldset id={slot} className={styles.turn} disabled={isLocked}>
      <legend>{SIDE_WORDS[side]}</legend>
      <EntryForm
        action={action}
        subject={subject}
        base={stands?.version ?? 0}
        stands={stands && `${stands.said}`}
        measures={measures}
        entryId={newId()}
        isLocked={isLocked}
      >
        <Radios
          slot={slot}
          name="result"
          label="How it went"
          options={RECORDED_RESULTS}
          words={RESULT_WORDS}
          chosen={value('result')}
        />
        <label className={styles.line}>
          <span>Why, if not done or hard</span>
          <select name="reason" defaultValue={value('reason')} className={styles.control}>
            <option value="">No reason given</option>
            {REASONS.map((reason) => (
              <option key={reason} value={reason}>
                {REASON_WORDS[reason]}
              </option>
            ))}
          </select>
          <input
            type="text"
            name="reasonText"
            aria-label={`Why in words: ${name}`}
            defaultValue={value('reasonText')}
            className={styles.control}
          />
        </label>
        <Radios
          slot={slot}
          name="judgement"
          label="Finding"
          options={JUDGEMENTS}
          words={JUDGEMENT_WORDS}
          chosen={value('judgement')}
        />
        <label className={styles.line}>
          <span>In words</span>
          <input type="text" name="text" defaultValue={value('text')} className={styles.control} />
        </label>
        {measures.map((measure) => (
          <MeasureLine
            key={measure.id}
            measure={measure}
            slot={slot}
            name={name}
            value={value(valueField(measure.id))}
          />
        ))}
      </EntryForm>
      {stands !== null && (
        <p className={styles.soft}>
          By {stands.by}, <TimeText at={stands.at} timeZone={timeZone} show="clock" />
        </p>
      )}
    </fieldset>
  )
}

type RadiosProps<T extends string> = {
  slot: string
  name: string
  label: string
  options: readonly T[]
  words: Readonly<Record<T, string>>
  chosen: string
}

export function Radios<T extends string>({ slot, name, label, options, words, chosen }: RadiosProps<T>) {
  return (
    <div role="radiogroup" aria-label={label} className={styles.radios}>
      <span className={styles.of}>{label}</span>
      {options.map((option) => (
        <label key={option} htmlFor={`${slot}-${name}-${option}`} className={styles.radio}>
          <input
            type="radio"
            id={`${slot}-${name}-${option}`}
            name={name}
            value={option}
            defaultChecked={chosen === option}
          />
          <span>{words[option]}</span>
        </label>
      ))}
    </div>
  )
}

const UNITS = { deg: 'degrees', s: 'seconds', count: 'times', cm: 'cm' } as const

function MeasureLine({ measure, slot, name, value }: { measure: Measure; slot: string; name: string; value: string }) {
  const id = `${slot}-${measure.id}`
  const isDisputed = disputed(measure).length > 0
  return (
    <div className={styles.measure}>
      <label htmlFor={id}>
        {measure.title}, {UNITS[measure.unit]}
      </label>
      <span className={styles.row}>
        <input
          type="text"
          inputMode="decimal"
          id={id}
          name={valueField(measure.id)}
          defaultValue={value}
          aria-describedby={`${id}-range`}
          className={styles.number10}
        />
        <span id={`${id}-range`} className={styles.soft}>
          {measure.min} to {measure.max} can be
        </span>
        {measure.tool === 'stopwatch' && <Stopwatch label={`${measure.title}, ${name}`} writesTo={id} />}
        {measure.tool === 'tally' && <Tally label={`${measure.title}, ${name}`} writesTo={id} />}
      </span>
      {measure.references.length === 0 ? (
        <p className={styles.soft}>No published range here: compare the sides.</p>
      ) : (
        <details className={styles.published}>
          <summary>
            Published: {measure.references.map((each) => `${rangeWords(each, measure.unit)} (${each.who})`).join('; ')}
            {isDisputed && '. Sources differ'}
          </summary>
          <ul>
            {measure.references.map((each) => (
              <li key={each.who + each.source}>
                {each.who}: {rangeWords(each, measure.unit)}. {each.source}
              </li>
            ))}
          </ul>
        </details>
      )}
    </div>
  )
}
