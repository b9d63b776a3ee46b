/**
 * Patients read these words sore, tired and on a small screen: US school grade 6 or below, by the Flesch-Kincaid grade
 * (Kincaid, Fishburne, Rogers and Chissom, 1975: 0.39 words/sentences + 11.8 syllables/words - 15.59).
 */
import { globSync, readFileSync } from 'node:fs'
import { fleschKincaid } from 'flesch-kincaid'
import { syllable } from 'syllable'
import { describe, expect, test } from 'vitest'
import { spanishSyllables } from '#lib/domain/versions/spanish-syllables.ts'

type Leaf = { path: string; text: string }

function leavesOf(value: unknown, path: string): Leaf[] {
  if (typeof value === 'string') return [{ path, text: spoken(value) }]
  return Object.entries(value as object).flatMap(([key, part]) => leavesOf(part, path === '' ? key : `${path}.${key}`))
}

/** As somebody would read it: of a choice the general case, for a value a short word. */
function spoken(message: string): string {
  return message
    .replace(/\{\w+, (?:plural|select),.*?other \{((?:[^{}]|\{[^{}]*\})*)\}\s*\}/gs, '$1')
    .replaceAll('#', '3')
    .replace(/\{\w+(?:, [^}]*)?\}/g, 'it')
    .replace(/<\/?\w+>/g, '')
}

function gradeOf(texts: readonly string[]): number {
  const sentences = texts.flatMap((text) => text.split(/(?<=[.!?:])\s+/)).filter((sentence) => /\w/.test(sentence))
  const words = sentences.flatMap((sentence) => sentence.match(/[\p{L}\d][\p{L}\d’'-]*/gu) ?? [])
  const syllables = words.reduce((sum, word) => sum + Math.max(1, syllable(word)), 0)
  return fleschKincaid({ sentence: sentences.length, word: words.length, syllable: syllables })
}

test('the grade is computed as published', () => {
  // Counts and grade of the sentence that the formula is usually shown with; by hand from the formula.
  expect(fleschKincaid({ sentence: 1, word: 13, syllable: 24 })).toBeCloseTo(0.39 * 13 + (11.8 * 24) / 13 - 15.59, 10)
  expect(gradeOf(['The cat sat on the mat.'])).toBeCloseTo(-1.45, 2)
  expect(
    gradeOf(['The Australian platypus is seemingly a hybrid of a mammal and reptilian creature.']),
  ).toBeGreaterThan(10)
})

describe.each(globSync('lib/words/en/*.json').sort())('%s', (file) => {
  const leaves = leavesOf(JSON.parse(readFileSync(file, 'utf8')), '')

  test('reads at grade 6 or below as a whole', () => {
    expect(gradeOf(leaves.map(({ text }) => text))).toBeLessThanOrEqual(6)
  })

  // One long word makes a short sentence look hard, so single messages are judged from twelve words on.
  test('has no message of twelve words or more above grade 7', () => {
    const hard = leaves
      .filter(({ text }) => text.split(/\s+/).length >= 12)
      .map(({ path, text }) => ({ path, grade: Math.round(gradeOf([text]) * 10) / 10 }))
      .filter(({ grade }) => grade > 7)
    expect(hard).toEqual([])
  })
})

describe.each(globSync('lib/words/es/*.json').sort())('%s', (file) => {
  const leaves = leavesOf(JSON.parse(readFileSync(file, 'utf8')), '')
  const english = leavesOf(JSON.parse(readFileSync(file.replace('/es/', '/en/'), 'utf8')), '')

  // Fernández Huerta 1959: from 70 a text is fairly easy.
  test('reads fairly easily as a whole', () => {
    expect(easeOf(leaves.map(({ text }) => text))).toBeGreaterThanOrEqual(70)
  })

  test('has no message of twelve words or more that is hard to read', () => {
    const hard = leaves
      .filter(({ text }) => text.split(/\s+/).length >= 12)
      .map(({ path, text }) => ({ path, ease: Math.round(easeOf([text])) }))
      .filter(({ ease }) => ease < 65)
    expect(hard).toEqual([])
  })

  test('says the same things as the English, with the same values in them', () => {
    const raw = (of: string) =>
      new Map(rawLeavesOf(JSON.parse(readFileSync(of, 'utf8')), '').map(({ path, text }) => [path, valuesIn(text)]))
    expect(raw(file)).toEqual(raw(file.replace('/es/', '/en/')))
  })

  test('leaves nothing in English', () => {
    const inEnglish = new Map(english.map(({ path, text }) => [path, text]))
    const same = leaves.filter(({ path, text }) => /\p{L}{4}/u.test(text) && inEnglish.get(path) === text)
    expect(same.map(({ path }) => path)).toEqual(SAME_IN_BOTH.filter((path) => inEnglish.has(path)))
  })
})

/** Names that are the same in both languages. */
const SAME_IN_BOTH = ['errorPrefix', 'place.zones.America/Phoenix', 'place.zones.America/Anchorage']

function rawLeavesOf(value: unknown, path: string): Leaf[] {
  if (typeof value === 'string') return [{ path, text: value }]
  return Object.entries(value as object).flatMap(([key, part]) =>
    rawLeavesOf(part, path === '' ? key : `${path}.${key}`),
  )
}

function valuesIn(message: string): string[] {
  return [...new Set([...message.matchAll(/\{(\w+)[,}]/g)].map(([, name = '']) => name))].sort()
}

/** Ease by Fernández Huerta: 206.84 − 60 × syllables / words − 1.02 × words / sentences. */
function easeOf(texts: readonly string[]): number {
  const sentences = texts.flatMap((text) => text.split(/(?<=[.!?:;])\s+/)).filter((sentence) => /\p{L}/u.test(sentence))
  const words = sentences.flatMap((sentence) => sentence.match(/[\p{L}\d]+(?:[’'-][\p{L}\d]+)*/gu) ?? [])
  const syllables = words.reduce((sum, word) => sum + (/^\d/.test(word) ? 1 : Math.max(1, spanishSyllables(word))), 0)
  return 206.84 - (60 * syllables) / words.length - (1.02 * words.length) / sentences.length
}
