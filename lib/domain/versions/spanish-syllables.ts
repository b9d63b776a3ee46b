/**
 * Counts the syllables of a Spanish word by the orthographic rules of the Real Academia Española (Ortografía de la
 * lengua española, 2010): open vowels (a, e, o) and stressed í, ú each carry a syllable; an unstressed i or u beside
 * one joins it; two closed vowels make one. In "que", "qui", "gue" and "gui" the u is silent.
 */
export function spanishSyllables(word: string): number {
  const sounded = word
    .toLowerCase()
    .replaceAll(/qu(?=[eiéí])/g, 'q')
    .replaceAll(/gu(?=[eiéí])/g, 'g')
    .replaceAll(/y(?![aeiouáéíóúü])/g, 'i')
  const vowels = sounded.match(/[aeiouáéíóúü]+/g) ?? []
  const carried = vowels.reduce((sum, group) => sum + Math.max(1, group.match(/[aeoáéóíú]/g)?.length ?? 0), 0)
  return Math.max(1, carried)
}
