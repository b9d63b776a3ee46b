/**
 * Can a patient with six years of school read it?
 */
import { fleschKincaid } from 'flesch-kincaid'
import { describe, expect, test } from 'vitest'
import { geometriesOf } from '#lib/domain/geometry/set-up-geometry.ts'
import { footAndAnkle } from '#lib/domain/protocol/foot-and-ankle/foot-and-ankle.ts'
import type { Text } from '#lib/domain/protocol/schema.ts'
import { explain } from '#lib/domain/screening/explain.ts'
import { screen } from '#lib/domain/screening/screen.ts'
import { LADDER_RULES } from '#lib/domain/screening/screening.ts'
import {
  countText,
  fernandezHuerta,
  LEAST_EASE,
  readingLevel,
  WORST_GRADE,
} from '#lib/domain/versions/reading-level.ts'
import { spanishSyllables } from '#lib/domain/versions/spanish-syllables.ts'
import { captionOf } from '#lib/words/set-up-words.ts'

const count = (text: string) => countText(text, 'en')
const grade = (text: string) => readingLevel(text, 'en')?.figure
const ease = (text: string) => readingLevel(text, 'es')?.figure

describe('the formulas', () => {
  // Published in the tests of textstat 0.7.8 (MIT) and on Wikipedia; each recomputed by hand from its counts.
  test.each([
    ['The cat sat on the mat.', { word: 6, sentence: 1, syllable: 6 }, -1.45],
    [
      'The Australian platypus is seemingly a hybrid of a mammal and reptilian creature.',
      { word: 13, sentence: 1, syllable: 24 },
      11.265,
    ],
    ['Cool dogs wear da sunglasses.', { word: 5, sentence: 1, syllable: 7 }, 2.88],
  ])('Flesch-Kincaid grade of "%s"', (text, counts, published) => {
    expect(fleschKincaid(counts)).toBeCloseTo(published, 2)
    // Words and sentences are exact; syllables are an estimate of the package, at most two off here.
    const counted = count(text)
    expect(counted).toMatchObject({ word: counts.word, sentence: counts.sentence })
    expect(Math.abs(counted.syllable - counts.syllable)).toBeLessThanOrEqual(2)
  })

  test.each([
    ['textstat 0.7.8, LONG_SPANISH_TEXT', { word: 162, sentence: 6, syllable: 306 }, 65.967],
    ['textstat 0.7.8, "Cool dogs wear da sunglasses."', { word: 5, sentence: 1, syllable: 7 }, 117.74],
  ])('Fernández Huerta of %s', (_, counts, published) => {
    expect(fernandezHuerta(counts)).toBeCloseTo(published, 2)
  })

  // Divisions by the Ortografía (RAE 2010); "planetoides" and the like are worked in the manual of syllable splitters.
  test.each([
    ['pie', 1],
    ['oír', 2],
    ['reír', 2],
    ['aéreo', 4],
    ['planetoides', 4],
    ['clínica', 3],
    ['espinilla', 4],
    ['quieto', 2],
    ['guía', 2],
    ['agua', 2],
    ['vergüenza', 3],
    ['ciudad', 2],
    ['muy', 1],
    ['ya', 1],
    ['ayuda', 3],
    ['y', 1],
  ])('"%s" has %i syllables', (word, syllables) => {
    expect(spanishSyllables(word)).toBe(syllables)
  })
})

/** Every text of the protocol that a patient or a helper may read, with its place. */
function patientTexts(value: unknown, path = ''): { path: string; text: Text }[] {
  if (typeof value !== 'object' || value === null) return []
  if ('en' in value && 'es' in value) return [{ path, text: value as Text }]
  const name = (key: string, child: unknown) =>
    typeof child === 'object' && child !== null && 'id' in child ? `${path}.${String(child.id)}` : `${path}.${key}`
  return Object.entries(value).flatMap(([key, child]) => patientTexts(child, name(key, child)))
}

const texts = patientTexts(footAndAnkle)
const isTitle = ({ path }: { path: string }) => /\.(title|plain)$/.test(path)
const titles = texts.filter(isTitle)
const sentences = texts.filter((each) => !isTitle(each))

const screening = screen({
  protocol: footAndAnkle,
  conditionId: 'heel_pain',
  side: 'left',
  facts: {},
  policy: { gapsAllowed: false, earlyLookAllowed: false },
})
const because = {
  unsafe_at_home: ['no_camera'],
  urgent_condition: ['achilles_rupture'],
  emergency_flag: ['black_skin'],
}
const explained = LADDER_RULES.map((rule) => ({
  path: `explain.${rule}`,
  text: explain({ ...screening, rule, because: because[rule as keyof typeof because] ?? [] }, footAndAnkle).patient,
}))

describe('every text for patients and helpers', () => {
  test('is there to be read', () => {
    expect(sentences.length).toBeGreaterThan(150)
  })

  test.each([...sentences, ...explained].map(({ path, text }) => [path, text] as const))('%s', (_, { en, es }) => {
    expect(grade(en), en).toBeLessThanOrEqual(WORST_GRADE)
    expect(ease(es), es).toBeGreaterThanOrEqual(LEAST_EASE)
  })

  // The formulas were made for running text: one long word alone has no grade, so titles are read as a list.
  test('titles, read one after the other', () => {
    expect(grade(titles.map(({ text }) => `${text.en}.`).join(' '))).toBeLessThanOrEqual(WORST_GRADE)
    expect(ease(titles.map(({ text }) => `${text.es}.`).join(' '))).toBeGreaterThanOrEqual(LEAST_EASE)
  })
})

describe('the caption of every drawing', () => {
  // As long as captions get: a line that fits, one for a shorter walk, one too short for any, one that nobody measured.
  const captions = [6, 3, 1, null].flatMap((lineM) =>
    geometriesOf(
      footAndAnkle,
      footAndAnkle.setUps.map(({ id }) => id),
      { facts: lineM === null ? {} : { lane_m: lineM }, side: 'left' },
    ).map((geometry) => [`${geometry.setUpId}, ${lineM} m`, geometry] as const),
  )

  test.each(captions)('%s', (_, geometry) => {
    const [en, es] = [captionOf(geometry, 'en'), captionOf(geometry, 'es')]
    expect(grade(en), en).toBeLessThanOrEqual(WORST_GRADE)
    expect(ease(es), es).toBeGreaterThanOrEqual(LEAST_EASE)
  })
})
