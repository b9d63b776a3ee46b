/** What does the engine read of a person's answers? What is known of them, and the age in whole years on a given day. */
import { Temporal } from '#lib/base/time.ts'
import { type Answers, type Facts, knownFacts } from '../protocol/need.ts'

/** The fact that a birth date answers. */
export const AGE_FACT = 'age_years'

/** The facts of one case on one day. */
export function factsOf(answers: Answers, birthDate: string | null, today: Temporal.PlainDate): Facts {
  const known = knownFacts(answers)
  if (birthDate === null) return known
  return { ...known, [AGE_FACT]: Temporal.PlainDate.from(birthDate).until(today, { largestUnit: 'years' }).years }
}
