/**
 * How many years of school does a text for patients ask for?
 *
 * English: Flesch-Kincaid grade = 0.39 × words / sentences + 11.8 × syllables / words − 15.59 (Kincaid 1975); at most
 * grade 6, as NIH and AMA ask (Eltorai AEM, Clin Orthop Relat Res 2015;473:1181-6). Spanish: Fernández Huerta ease
 * = 206.84 − 60 × syllables / words − 1.02 × words / sentences (1959); 70 and above is "algo fácil" or easier. A figure
 * counts as a word of one syllable.
 */
import { fleschKincaid } from 'flesch-kincaid'
import { syllable } from 'syllable'
import type { Locale } from '../protocol/schema.ts'
import { spanishSyllables } from './spanish-syllables.ts'

export const WORST_GRADE = 6
export const LEAST_EASE = 70

export type TextCounts = { sentence: number; word: number; syllable: number }

/** Words, sentences and syllables; the syllables of English are the package's estimate. */
export function countText(text: string, locale: Locale): TextCounts {
  const syllables = locale === 'en' ? syllable : spanishSyllables
  const words = text.match(/[\p{L}\p{N}]+(?:['’.-][\p{L}\p{N}]+)*/gu) ?? []
  const sentences = text.match(/[.!?:;](?=\s|$)/g) ?? []
  return {
    sentence: Math.max(1, sentences.length),
    word: words.length,
    syllable: words.reduce((sum, word) => sum + (/^\p{N}/u.test(word) ? 1 : Math.max(1, syllables(word))), 0),
  }
}

/** Ease by Fernández Huerta; higher is easier. */
export function fernandezHuerta({ sentence, word, syllable: syllables }: TextCounts): number {
  return 206.84 - 60 * (syllables / word) - 1.02 * (word / sentence)
}

/** `figure`: the grade (English) or the ease (Spanish). */
export type ReadingLevel = { locale: Locale; figure: number; isEasy: boolean }

/** Null where there is no word to read. */
export function readingLevel(text: string, locale: Locale): ReadingLevel | null {
  const counts = countText(text, locale)
  if (counts.word === 0) return null
  const figure = locale === 'en' ? fleschKincaid(counts) : fernandezHuerta(counts)
  return { locale, figure, isEasy: locale === 'en' ? figure <= WORST_GRADE : figure >= LEAST_EASE }
}
