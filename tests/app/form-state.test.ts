import { expect, test } from 'vitest'
import { EMPTY_FORM, errorFor, refuse, splitChoices } from '#app/_ui/form-state.ts'

function sent(entries: [string, string | File][]): FormData {
  const form = new FormData()
  for (const [name, value] of entries) form.append(name, value)
  return form
}

test('a refused form shows everything as it was left, several choices of one name among it', () => {
  const form = sent([
    ['phone', '  (802) 555-0134 '],
    ['flags', 'calf'],
    ['flags', 'fever'],
  ])
  const state = refuse(EMPTY_FORM, form, [{ field: 'phone', message: 'Enter a phone number' }])
  expect(state.attempt).toBe(1)
  expect(state.values.phone).toBe('(802) 555-0134')
  expect(splitChoices(state.values.flags)).toEqual(['calf', 'fever'])
  expect(errorFor(state, 'phone')).toBe('Enter a phone number')
  expect(errorFor(state, 'flags')).toBeUndefined()
})

// A passphrase in the page's source would outlive the moment it was typed.
test('a passphrase, a file and the framework’s own fields never come back', () => {
  const form = sent([
    ['passphrase', 'correct lane measure tape'],
    ['file', new File(['x'], 'x.csv')],
    ['$ACTION_REF_1', ''],
    ['email', 'a@example.org'],
  ])
  const { values } = refuse(EMPTY_FORM, form, [{ field: 'email', message: 'Not right' }])
  expect(JSON.stringify(values)).not.toContain('correct lane')
  expect(values).toEqual({ file: '', email: 'a@example.org' })
})
