/** What is wrong with an answer, in words that say how to mend it. */
import { unreachable } from '#lib/base/invariant.ts'
import { type AnswerFault, feetAndInches, rangeIn, unitsFor } from '#lib/domain/home/parse-answer.ts'
import type { Fact } from '#lib/domain/protocol/schema.ts'
import type { Words } from '#lib/words/words.ts'

export function faultWords(fault: AnswerFault, fact: Fact, unit: string | undefined, t: Words): string {
  switch (fault.code) {
    case 'answer_missing':
    case 'answer_not_offered':
      return t(fact.kind === 'yes_no' ? 'home.check.errors.choose' : 'home.check.errors.enter')
    case 'not_a_number':
      return t(unit === 'ft_in' ? 'home.check.errors.notFeetAndInches' : 'home.check.errors.notANumber')
    case 'out_of_range': {
      const shown = unitsFor(fact).find((each) => each === unit) ?? fault.unit
      if (shown === 'ft_in') {
        const { min, max } = rangeIn(fault, 'in')
        const [least, most] = [feetAndInches(Math.ceil(min)), feetAndInches(Math.floor(max))]
        return t('home.check.errors.rangeFeet', { least, most })
      }
      return t('home.check.errors.range', { ...rangeIn(fault, shown), unit: t(`home.check.units.${shown}`) })
    }
    default:
      return unreachable(fault)
  }
}
