/**
 * What does a referral file say, as text? Both file formats are UTF-8. A file in
 * another encoding is refused instead of read with holes: a name that was
 * garbled on the way in is somebody nobody finds again.
 */
import { err, ok, type Result } from '#lib/base/result.ts'

export type EncodingFault = 'empty_file' | 'utf_16' | 'not_utf_8'

export const ENCODING_FAULT_WORDS: Readonly<Record<EncodingFault, string>> = {
  empty_file: 'The file is empty. Choose another.',
  utf_16: 'The file is written in UTF-16. Save it again as “CSV UTF-8” or as JSON in UTF-8.',
  not_utf_8: 'The file is not written in UTF-8; letters like ñ would be lost. Save it again as “CSV UTF-8”.',
}

/** The bytes after a byte order mark, checked to be UTF-8, and the same as text. */
export function decodeText(bytes: Uint8Array): Result<{ bytes: Uint8Array; text: string }, EncodingFault> {
  const [a, b, c] = bytes
  if ((a === 0xff && b === 0xfe) || (a === 0xfe && b === 0xff)) return err('utf_16')
  const content = a === 0xef && b === 0xbb && c === 0xbf ? bytes.subarray(3) : bytes
  // UTF-16 without a mark shows as a zero byte beside each of the first letters.
  if (content.subarray(0, 4).includes(0)) return err('utf_16')
  try {
    const text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(content)
    return text.trim() === '' ? err('empty_file') : ok({ bytes: content, text })
  } catch {
    return err('not_utf_8')
  }
}
