/**
 * How a number is written for people: ITU-T E.123 (02/2001), 2.1 and 2.2, area code in brackets at home and + before the
 * country code abroad; grouping of North America and Spain by their national plans, which libphonenumber carries. Links:
 * RFC 3966, 3 and 5.3.
 */
import { expect, test } from 'vitest'
import { phoneAddress, phoneWords } from '#lib/domain/intake/phone-number.ts'

test.each([
  ['as it is kept', '+15035550142', '(503) 555-0142', 'tel:+15035550142'],
  ['as somebody typed it', '503.555.0142', '(503) 555-0142', 'tel:+15035550142'],
  ['as the clinic writes its own', '(503) 555-0142', '(503) 555-0142', 'tel:+15035550142'],
  ['with an extension', '503-555-0142 x3', '(503) 555-0142 ext. 3', 'tel:+15035550142;ext=3'],
  ['from elsewhere', '+34600123456', '+34 600 12 34 56', 'tel:+34600123456'],
  ['an emergency number', '911', '911', 'tel:911'],
  ['words with a number', 'work 503 555 0142', 'work 503 555 0142', 'tel:5035550142'],
])('%s, a number is read and dialled', (_, written, words, address) => {
  expect(phoneWords(written)).toBe(words)
  expect(phoneAddress(written)).toBe(address)
})
