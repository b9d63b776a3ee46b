/** What is wrong with a new passphrase, and how to mend it. */
import { unreachable } from '#lib/base/invariant.ts'
import { PASSPHRASE_MAX, PASSPHRASE_MIN, type PassphraseFault } from '#lib/domain/access/passphrase.ts'

export const PASSPHRASE_HINT = `At least ${PASSPHRASE_MIN} characters. A few words that you can remember do well.`

export function passphraseFaultWords(fault: PassphraseFault): string {
  switch (fault) {
    case 'too_short':
      return `A passphrase has at least ${PASSPHRASE_MIN} characters. Add a word or two`
    case 'too_long':
      return `A passphrase has at most ${PASSPHRASE_MAX} characters`
    case 'too_uniform':
      return 'The same few characters again and again are easy to guess. Use different words'
    default:
      return unreachable(fault)
  }
}
