/** Who is on the phone? What was typed into the desk's one field is a name, a telephone number or a date of birth. */
import { err, ok, type Result } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'

export type Quest =
  /** Each word is the beginning of one of their names, in lower case. */
  | { kind: 'name'; words: string[] }
  /** Digits as they were said, without a country code: the number ends in them. */
  | { kind: 'phone'; digits: string }
  /** yyyy-mm-dd */
  | { kind: 'born'; on: string }
export type QuestFault = 'missing' | 'too_short' | 'too_long' | 'not_a_date'

/** Longer than any name. */
export const LONGEST_QUEST = 80

/** "Fern Mi", "555-0142" or the last four digits, "3/9/1961" (month first, as the clinic's papers have it) or "1961-03-09". */
export function readQuest(typed: string): Result<Quest, QuestFault> {
  const text = typed.normalize('NFC').trim()
  if (text === '') return err('missing')
  if (text.length > LONGEST_QUEST) return err('too_long')
  const date =
    /^(?:(?<y>\d{4})[-/.](?<m>\d{1,2})[-/.](?<d>\d{1,2})|(?<m>\d{1,2})[-/.](?<d>\d{1,2})[-/.](?<y>\d{4}))$/.exec(text)
  if (date) {
    const { y, m, d } = date.groups as { y: string; m: string; d: string }
    try {
      const on = Temporal.PlainDate.from({ year: Number(y), month: Number(m), day: Number(d) }, { overflow: 'reject' })
      return ok({ kind: 'born', on: on.toString() })
    } catch {
      return err('not_a_date')
    }
  }
  if (/^[+(\d][\d\s().+-]*$/.test(text)) {
    const digits = text.replace(/\D/g, '').replace(/^1(?=\d{10}$)/, '')
    return digits.length < 4 ? err('too_short') : ok({ kind: 'phone', digits })
  }
  const words = text
    .toLowerCase()
    .split(/[\s,]+/)
    .filter(Boolean)
  return words.join('').length < 2 ? err('too_short') : ok({ kind: 'name', words })
}
