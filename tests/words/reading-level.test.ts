/**
 * Patients read these words sore, tired and on a small screen: US school grade 6 or below, by the Flesch-Kincaid grade
 * (Kincaid, Fishburne, Rogers and Chissom, 1975: 0.39 words/sentences + 11.8 syllables/words - 15.59).
 */
import { globSync, readFileSync } from 'node:fs'
import { fleschKincaid } from 'flesch-kincaid'
import { syllable } from 'syllable'
import { describe, expect, test } from 'vitest'

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
