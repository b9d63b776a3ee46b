/** What was answered, as people say it. */

import type { WeeklyWindow } from '#lib/domain/calendar/weekly-window.ts'
import { choicesIn, type DayPart } from '#lib/domain/home/details.ts'
import { asTyped } from '#lib/domain/home/parse-answer.ts'
import type { Answer } from '#lib/domain/protocol/need.ts'
import type { Fact } from '#lib/domain/protocol/schema.ts'
import type { Words } from '#lib/words/words.ts'

export function answerWords(fact: Fact, answer: Answer | undefined, t: Words): string {
  if (answer === undefined) return t('home.answers.notAnswered')
  if (answer === 'not_sure') return t('common.notSure')
  if (typeof answer === 'boolean') return t(answer ? 'common.yes' : 'common.no')
  const { raw, unit } = asTyped(fact, answer)
  return unit === undefined || unit === 'ft_in'
    ? raw
    : t('home.answers.amount', { amount: raw, unit: t(`home.check.units.${unit}`) })
}

export function timesWords(windows: readonly WeeklyWindow[], t: Words): string {
  if (windows.length === 0) return t('home.answers.anyTime')
  const { days, parts } = choicesIn(windows)
  const dayWords = (days as (1 | 2 | 3 | 4 | 5 | 6 | 7)[]).map((day) => t(`home.times.day.${day}`))
  return t('home.answers.and', {
    days: dayWords.length === 7 ? t('home.answers.anyDay') : dayWords.join(', '),
    parts:
      parts.length === 3
        ? t('home.answers.anyPart')
        : parts.map((part: DayPart) => t(`home.times.part.${part}`)).join('; '),
  })
}
