/** Which page of the home check comes when: its questions, then the details. */
import { DETAIL_STEPS, type DetailStep } from '#lib/domain/home/details.ts'
import type { HomeCheckView } from '#lib/usecases/read-home-check.ts'

export type Way = Pick<HomeCheckView, 'questions' | 'needsConsent' | 'next'>

/** Steps by the name they have in the address, in order. */
export function stepsOf({ questions, needsConsent }: Way): string[] {
  return [...questions.map(({ id }) => id), ...detailStepsOf({ needsConsent })]
}

export function detailStepsOf({ needsConsent }: Pick<Way, 'needsConsent'>): DetailStep[] {
  return DETAIL_STEPS.filter((step) => step !== 'consent' || needsConsent)
}

/** Where the back link of a step leads. */
export function backFrom(way: Way, step: string, from: string | null): string {
  if (from === 'answers') return '/my/check/answers'
  const before = stepsOf(way).indexOf(step) - 1
  return before < 0 ? '/my' : `/my/check/${stepsOf(way)[before]}`
}

/** Where to go on: the first step that is still open, or the list of all answers. A trip from the list ends there. */
export function onwards(next: string | null, from: string | null): string {
  if (next === null) return '/my/check/answers'
  return `/my/check/${next}${from === 'answers' ? '?from=answers' : ''}`
}
