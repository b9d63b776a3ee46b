/**
 * Is this passphrase good enough to be the only key? Length decides; rules about kinds of characters only make
 * passphrases alike. Sources: NIST SP 800-63B-4 section 3.1.1.2 (15 where it is the single factor, at least 64 accepted,
 * no composition rules, characters counted as Unicode code points) and OWASP ASVS 5.0 6.2.1, 6.2.5, 6.2.9.
 */
export const PASSPHRASE_MIN = 15
/** Hashing is work that anybody may ask for: longer texts are refused before it. */
export const PASSPHRASE_MAX = 256

export type PassphraseFault = 'too_short' | 'too_long' | 'too_uniform'

/** Null when it will do. Asked by whoever sets one, never when signing in. */
export function passphraseFault(passphrase: string): PassphraseFault | null {
  const characters = [...passphrase.normalize('NFC')]
  if (characters.length < PASSPHRASE_MIN) return 'too_short'
  if (characters.length > PASSPHRASE_MAX) return 'too_long'
  // "aaaaaaaaaaaaaaa" and "abababababababab" are long and still the first to be tried.
  return new Set(characters).size < DISTINCT_MIN ? 'too_uniform' : null
}

/** Our own choice; the fewest in an everyday phrase of 15 letters. */
const DISTINCT_MIN = 5
