/**
 * Telephone numbers: kept in the international form where one is asked for (ITU-T E.164), said as people here write them,
 * and dialled by a link (RFC 3966). A number without a country's code is read as one of the United States.
 */
import parsePhoneNumber, { type PhoneNumber } from 'libphonenumber-js'
import { err, ok, type Result } from '#lib/base/result.ts'

/**
 * Possible, not valid: a number that is too short or too long is a slip, but
 * new ranges and reserved ones (555-01xx) are dialled all the same.
 */
function parsed(written: string): PhoneNumber | null {
  const number = parsePhoneNumber(written, { defaultCountry: 'US', extract: false })
  return number?.isPossible() ? number : null
}

export function readPhone(written: string): Result<string, 'not_a_phone' | 'phone_extension'> {
  const number = parsed(written)
  if (!number) return err('not_a_phone')
  return number.ext === undefined ? ok(number.number) : err('phone_extension')
}

/** "(503) 555-0142", one from elsewhere with its country's code; what is no number stays as it was written. */
export function phoneWords(written: string): string {
  const number = parsed(written)
  if (!number) return written
  return number.countryCallingCode === '1' ? number.formatNational() : number.formatInternational()
}

/** Where a link to the number leads. An extension stands apart, else it is dialled as digits of the number (RFC 3966, 5.3). */
export function phoneAddress(written: string): string {
  return parsed(written)?.getURI() ?? `tel:${written.replace(/[^+\d]/g, '')}`
}
