/**
 * What may be recorded of a station, of a check, of a stop? One reading for the plain form, for the browser before it
 * queues an entry, and for the server when the entry arrives: what one of them takes, all of them take.
 */
import { err, ok, type Result } from '#lib/base/result.ts'
import type { Measure } from '../protocol/schema.ts'
import {
  CHECK_STATES,
  type CheckState,
  JUDGEMENTS,
  type Judgement,
  REASONS,
  RECORDED_RESULTS,
  type Reason,
  type RecordedResult,
} from './vocabulary.ts'

/** As a form sends it: every field a text. */
export type Fields = Readonly<Record<string, string | undefined>>
export type EntryFault = { field: string; message: string }

export type StationEntry = {
  result: RecordedResult
  reason: Reason | null
  reasonText: string | null
  judgement: Judgement | null
  text: string | null
  /** By measure. */
  values: Record<string, number>
}

export type CheckEntry = { state: CheckState; because: string | null }

/** The field of a measure. */
export function valueField(measureId: string): string {
  return `value-${measureId}`
}

const LONGEST = 1000

/** Reads what was entered for one station on one side; all faults at once. */
export function readStationEntry(fields: Fields, measures: readonly Measure[]): Result<StationEntry, EntryFault[]> {
  const faults: EntryFault[] = []
  const fault = (field: string, message: string) => faults.push({ field, message })
  const text = (field: string): string | null => {
    const typed = fields[field]?.trim() ?? ''
    if (typed.length > LONGEST) fault(field, `Keep this below ${LONGEST} characters`)
    return typed === '' ? null : typed
  }
  const result = RECORDED_RESULTS.find((each) => each === fields.result)
  if (result === undefined) fault('result', 'Say how it went')
  const reason = REASONS.find((each) => each === fields.reason) ?? null
  const reasonText = text('reasonText')
  const isUndone = result === 'not_possible' || result === 'stopped'
  if (isUndone && reason === null) fault('reason', 'Say why')
  if (reason === 'other' && reasonText === null) fault('reasonText', 'Say what it was')

  const judgement = JUDGEMENTS.find((each) => each === fields.judgement) ?? null
  const said = text('text')
  if (judgement === 'noted' && said === null) fault('text', 'Write down what was noted')
  if (judgement === 'abnormal' && said === null) fault('text', 'Write down what was abnormal')
  const values: Record<string, number> = {}
  for (const measure of measures) {
    const typed = text(valueField(measure.id))
    if (typed === null) continue
    const value = readValue(typed, measure)
    if (typeof value === 'string') fault(valueField(measure.id), value)
    else values[measure.id] = value
  }
  if (result === 'not_possible' && (judgement !== null || Object.keys(values).length > 0))
    fault('result', 'Nothing can be found where nothing was done: say that it was stopped, or leave the finding out')

  if (faults.length > 0 || result === undefined) return err(faults)
  // A reason that was chosen before "done" was is kept out: it would say that something was in the way.
  const isEasy = result === 'done'
  return ok({
    result,
    reason: isEasy ? null : reason,
    reasonText: isEasy ? null : reasonText,
    // Words alone are a note.
    judgement: judgement ?? (said === null || result === 'not_possible' ? null : 'noted'),
    text: result === 'not_possible' ? null : said,
    values,
  })
}

/** The same entry as its form has it: read again, it is what it was. */
export function stationFields(entry: Omit<StationEntry, 'result'> & { result: string }): Record<string, string> {
  const { result, reason, reasonText, judgement, text, values } = entry
  return {
    ...{ result, reason: reason ?? '', reasonText: reasonText ?? '', judgement: judgement ?? '', text: text ?? '' },
    ...Object.fromEntries(Object.entries(values).map(([id, value]) => [valueField(id), String(value)])),
  }
}

/** A number as people type it, or what is wrong with it. */
export function readValue(typed: string, { min, max, step, unit }: Measure): number | string {
  const value = /^[-+]?\d+([.,]\d+)?$/.test(typed) ? Number(typed.replace(',', '.')) : Number.NaN
  if (Number.isNaN(value)) return 'Type a number'
  if (value < min || value > max) return `Between ${min} and ${max}: check the value and the unit`
  if (unit === 'count' && !Number.isInteger(value)) return 'Type a whole number'
  // What is finer than the measure can tell is rounded, by whole steps so that no binary dust is left; "-0" is 0.
  const steps = Math.round(value / step) + 0
  return step < 1 ? Number((steps * step).toFixed(2)) : steps * step
}

/** Reads one of the checks before the exam: confirmed, or skipped with a reason. */
export function readCheckEntry(fields: Fields): Result<CheckEntry, EntryFault[]> {
  const state = CHECK_STATES.find((each) => each === fields.state)
  const because = fields.because?.trim() || null
  if (state === undefined) return err([{ field: 'state', message: 'Confirm it, or skip it with a reason' }])
  if (state === 'skipped' && (because === null || because.length < 3))
    return err([{ field: 'because', message: 'Say why it is skipped' }])
  if (because !== null && because.length > LONGEST)
    return err([{ field: 'because', message: `Keep this below ${LONGEST} characters` }])
  return ok({ state, because })
}

/** The same check as its form has it. */
export function checkFields({ state, because }: CheckEntry): Record<string, string> {
  return { state, because: because ?? '' }
}
