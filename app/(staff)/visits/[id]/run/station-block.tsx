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
import { Choice, NumberField, Radios, TextLine } from './entry-fields.tsx'
import { EntryForm } from './entry-form.tsx'
import styles from './run.module.css'
import { slotOf } from './slot.ts'
import { Stopwatch, Tally } from './tools.tsx'

type Common = {
  action: FormAction
  newId: () => string
  isLocked: boolean
  timeZone: string
  language: Locale
  /** Where the complaint is. */
  complaint: Side
}

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
      <div className={styles.sides}>
        {run.turns.map(({ side, stands }, at) => (
          <Turn
            key={side}
            station={station}
            wayId={way.id}
            side={side}
            turn={run.turns.length === 1 ? null : at === 0 ? 'first' : 'second'}
            stands={stands}
            {...common}
          />
        ))}
      </div>
    </section>
  )
}

type TurnProps = {
  station: Station
  wayId: string
  side: Side
  /** Which of two is examined first; null = this one alone. */
  turn: 'first' | 'second' | null
  stands: Stands | null
} & Common

function Turn({ station, wayId, side, turn, stands, action, newId, isLocked, timeZone, complaint }: TurnProps) {
  const measures = station.measures ?? []
  const subject = { kind: 'station' as const, stationId: station.id, side, wayId }
  const slot = slotOf({ ...subject, fields: {} })
  const field = (name: string) => ({ slot, name, stands: stands?.fields[name] ?? '' })
  const name = `${station.title}, ${SIDE_WORDS[side].toLowerCase()}`
  return (
    <fieldset id={slot} className={styles.turn} data-side={side} disabled={isLocked}>
      <legend>{SIDE_WORDS[side]}</legend>
      {side !== 'both' && <p className={styles.soft}>{turnWords(side, turn, complaint)}</p>}
      <EntryForm
        action={action}
        subject={subject}
        base={stands?.version ?? 0}
        stands={stands?.said ?? null}
        writtenBy={stands && <WrittenBy stands={stands} timeZone={timeZone} />}
        measures={measures}
        entryId={newId()}
        isLocked={isLocked}
      >
        <div className={styles.half}>
          <Radios {...field('result')} label="How it went" options={RECORDED_RESULTS} words={RESULT_WORDS} />
          <div className={styles.why}>
            <span className={styles.of}>Why, if not done or hard</span>
            <Choice
              {...field('reason')}
              heard="Why, if not done or hard"
              none="No reason given"
              options={REASONS.map((reason) => ({ value: reason, label: REASON_WORDS[reason] }))}
            />
            <TextLine {...field('reasonText')} heard={`Why in words: ${name}`} />
          </div>
        </div>
        <div className={styles.half}>
          <Radios {...field('judgement')} label="Finding" options={JUDGEMENTS} words={JUDGEMENT_WORDS} />
          <TextLine {...field('text')} label="Finding in words" />
        </div>
        {measures.map((measure) => (
          <MeasureLine
            key={measure.id}
            measure={measure}
            slot={slot}
            side={side}
            name={name}
            stands={stands?.fields[valueField(measure.id)] ?? ''}
          />
        ))}
      </EntryForm>
    </fieldset>
  )
}

/** When it is this side's turn, and whether it is the one that the patient complains of. */
function turnWords(side: Side, turn: TurnProps['turn'], complaint: Side): string {
  const order = turn === null ? 'Only this side' : `Examined ${turn}`
  if (complaint === 'both') return `${order}.`
  return `${order}: ${side === complaint ? 'the side of the complaint' : 'the other side, to compare with'}.`
}

export function WrittenBy({ stands: { by, at }, timeZone }: { stands: Stands; timeZone: string }) {
  return (
    <span className={styles.soft}>
      By {by}, <TimeText at={at} timeZone={timeZone} show="clock" />
    </span>
  )
}

const UNITS = { deg: 'degrees', s: 'seconds', count: 'times', cm: 'cm' } as const

type MeasureProps = { measure: Measure; side: Side; slot: string; name: string; stands: string }

function MeasureLine({ measure, side, slot, name, stands }: MeasureProps) {
  const id = `${slot}-${measure.id}`
  const isDisputed = disputed(measure).length > 0
  return (
    <div className={styles.measure}>
      <label htmlFor={id}>
        <strong>{SIDE_WORDS[side]}:</strong> {measure.title}, {UNITS[measure.unit]}
      </label>
      <span className={styles.row}>
        <NumberField slot={slot} name={valueField(measure.id)} stands={stands} id={id} hintId={`${id}-range`} />
        <span id={`${id}-range`} className={styles.soft}>
          {measure.min} to {measure.max}
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
