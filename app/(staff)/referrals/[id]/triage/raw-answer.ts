/** An answer as the checklist sends it. "Not sure" and never asked look the same: not known. */
import type { Answer } from '#lib/domain/protocol/need.ts'

export function rawAnswer(answer: Answer | null | undefined): string {
  if (answer === undefined || answer === null || answer === 'not_sure') return ''
  return typeof answer === 'boolean' ? (answer ? 'yes' : 'no') : String(answer)
}
