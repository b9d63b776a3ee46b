/** Limits: NIST SP 800-63B-4 AAL3, idle at most 15 minutes and overall at most 12 hours. */
import { expect, test } from 'vitest'
import { Temporal } from '#lib/base/time.ts'
import { passphraseFault } from '#lib/domain/access/passphrase.ts'
import { sessionEnd } from '#lib/domain/access/session-limits.ts'

const at = (clock: string) => Temporal.Instant.from(`2026-12-01T${clock}:00Z`)

test('a session ends a quarter of an hour after the last sign of life', () => {
  expect(sessionEnd({ createdAt: at('08:00'), lastSeenAt: at('10:05'), endedAt: null })).toEqual(at('10:20'))
})

test('half a day after signing in it ends, whatever is being done', () => {
  expect(sessionEnd({ createdAt: at('08:00'), lastSeenAt: at('19:55'), endedAt: null })).toEqual(at('20:00'))
})

test('signing out ends it at once', () => {
  expect(sessionEnd({ createdAt: at('08:00'), lastSeenAt: at('08:10'), endedAt: at('08:11') })).toEqual(at('08:11'))
})

test.each([
  ['fourteen letters', 'abcdefghijklmn', 'too_short'],
  ['fifteen letters', 'abcdefghijklmno', null],
  // NIST SP 800-63B-4 3.1.1.2: each code point counts as one character; an emoji is one, though two UTF-16 units.
  ['fourteen code points in more units', `abcdefghijklm\u{1F9B6}`, 'too_short'],
  ['sixty-four characters', 'a lane of three metres, a chair, a strap, a friend and daylight.', null],
  ['one letter over and over', 'aaaaaaaaaaaaaaaa', 'too_uniform'],
  ['more than anybody types', 'abcde'.repeat(60), 'too_long'],
])('a passphrase of %s', (_name, passphrase, fault) => {
  expect(passphraseFault(passphrase)).toBe(fault)
})
