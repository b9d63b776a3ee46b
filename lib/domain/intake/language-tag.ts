/**
 * Which language is it? RFC 5646 tags in their canonical form (eng becomes en),
 * so that a patient's language and an interpreter's can be compared as text.
 */

/** The canonical tag, or null. Two or three letters first: longer ones were never registered, and would let "Spanish" pass. */
export function canonicalTag(written: string): string | null {
  if (!/^[a-z]{2,3}(-|$)/i.test(written)) return null
  try {
    return Intl.getCanonicalLocales(written)[0] ?? null
  } catch {
    return null
  }
}
