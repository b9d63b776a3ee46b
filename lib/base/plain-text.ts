/** Text that people typed, kept and shown without harm to what stands around it (Unicode UAX #9). */

/**
 * Cc: control characters, U+0000 among them, which the database does not take. U+202D and U+202E force a writing direction
 * and would show a name backwards; scripts that run right to left do without them. A lone surrogate is half a character.
 */
const UNSHOWABLE = /[\p{Cc}\u202D\u202E]/u

/** Whether a line of text can be kept and shown as it is. Every script and emoji can. */
export function isShowable(line: string): boolean {
  return line.isWellFormed() && !UNSHOWABLE.test(line)
}

/** Strong right-to-left letters: Hebrew, Arabic, Syriac, Thaana, N'Ko and their presentation forms. */
const RIGHT_TO_LEFT = /[\u0590-\u08ff\ufb1d-\ufdff\ufe70-\ufefc]|[\u{10800}-\u{10fff}\u{1e800}-\u{1efff}]/u
const FIRST_STRONG_ISOLATE = '\u2068'
const POP_ISOLATE = '\u2069'

/** A name for the middle of a sentence: written from right to left, it leaves the words around it where they are. */
export function isolated(name: string): string {
  return RIGHT_TO_LEFT.test(name) ? `${FIRST_STRONG_ISOLATE}${name}${POP_ISOLATE}` : name
}

/** First and last names as one. */
export function fullName({ givenName, familyName }: { givenName: string; familyName: string }): string {
  return isolated(`${givenName} ${familyName}`)
}
