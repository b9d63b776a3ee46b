/** What is typed when the phone rings is read as what it can be, and never as two things. */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { readQuest } from '#lib/domain/desk/find-patient.ts'

describe('what was typed', () => {
  test.each([
    ['Fern Mi', { kind: 'name', words: ['fern', 'mi'] }],
    ['Mica, Fern', { kind: 'name', words: ['mica', 'fern'] }],
    ['ÑANDÚ', { kind: 'name', words: ['ñandú'] }],
    ['(503) 555-0142', { kind: 'phone', digits: '5035550142' }],
    ['+1 503 555 0142', { kind: 'phone', digits: '5035550142' }],
    ['0142', { kind: 'phone', digits: '0142' }],
    ['3/9/1961', { kind: 'born', on: '1961-03-09' }],
    ['1961-03-09', { kind: 'born', on: '1961-03-09' }],
    ['03.09.1961', { kind: 'born', on: '1961-03-09' }],
  ])('%s', (typed, value) => {
    expect(readQuest(typed)).toEqual({ ok: true, value })
  })

  test.each([
    ['  ', 'missing'],
    ['F', 'too_short'],
    ['142', 'too_short'],
    ['13/9/1961', 'not_a_date'],
    ['2/30/1961', 'not_a_date'],
    ['x'.repeat(81), 'too_long'],
  ])('%j says what is wrong with it', (typed, error) => {
    expect(readQuest(typed)).toEqual({ ok: false, error })
  })

  test('is answered, whatever it is', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'grapheme', maxLength: 120 }), (typed) => {
        const read = readQuest(typed)
        if (read.ok && read.value.kind === 'name') expect(read.value.words.every((word) => word !== '')).toBe(true)
      }),
    )
  })
})
