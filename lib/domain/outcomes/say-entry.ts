/** An entry in one line, for the note and for whoever has to choose between two that disagree. */
import type { Measure } from '../protocol/schema.ts'
import type { StationEntry } from './read-entry.ts'
import { valueWords } from './references.ts'
import { JUDGEMENT_WORDS, REASON_WORDS, RESULT_WORDS, type StationResult } from './vocabulary.ts'

export type Said = Omit<StationEntry, 'result'> & { result: StationResult }

/** "Stopped: Pain. Abnormal: the heel stays out. Heel rises: 12." */
export function sayEntry(entry: Said, measures: readonly Measure[]): string {
  const { result, reason, reasonText } = entry
  const why = [reason === null ? null : REASON_WORDS[reason], reasonText].filter((part) => part !== null)
  const went = RESULT_WORDS[result] + (why.length === 0 ? '' : `: ${why.join(', ')}`)
  return [went, ...sayFinding(entry, measures)].map((part) => `${part}.`.replace(/\.\.$/, '.')).join(' ')
}

/** What was found, a sentence each. */
export function sayFinding({ judgement, text, values }: Omit<Said, 'result'>, measures: readonly Measure[]): string[] {
  const judged = judgement === null ? null : JUDGEMENT_WORDS[judgement] + (text === null ? '' : `: ${text}`)
  const measured = measures.flatMap(({ id, title, unit }) => {
    const value = values[id]
    return value === undefined ? [] : [`${title}: ${valueWords(value, unit)}`]
  })
  return [...(judged === null ? [] : [judged]), ...measured]
}
