/** Whether a form can be sent by a script: what the framework would refuse never leaves the browser. */
import { expect, test } from 'vitest'
import { FORM_BYTES, tooLongToSend } from '#app/_ui/form-size.ts'
import { EMPTY_FORM } from '#app/_ui/form-state.ts'

function formOf(values: Record<string, string | File>): FormData {
  const form = new FormData()
  for (const [name, value] of Object.entries(values)) form.append(name, value)
  return form
}

test('names the field that makes it too long, counted in bytes as they are sent', () => {
  const most = FORM_BYTES / 2
  expect(tooLongToSend(formOf({ note: 'x'.repeat(most / 2), name: 'Alex' }), EMPTY_FORM)).toBeNull()
  expect(tooLongToSend(formOf({ name: 'Alex', note: 'x'.repeat(most + 1) }), EMPTY_FORM)).toBe('note')
  // A letter with an accent is two bytes, an emoji four.
  expect(tooLongToSend(formOf({ note: 'é'.repeat(most / 2 + 1), name: 'Alex' }), EMPTY_FORM)).toBe('note')
})

test('counts what was typed before, which goes along', () => {
  const typed = 'x'.repeat(FORM_BYTES / 3)
  expect(tooLongToSend(formOf({ note: typed }), EMPTY_FORM)).toBeNull()
  expect(tooLongToSend(formOf({ note: typed }), { attempt: 1, values: { note: typed }, errors: [] })).toBe('note')
})

// The framework ends each line with two bytes, whatever was typed (RFC 7578 leaves it to the sender; browsers write CRLF).
test('what is sent stays within what the framework reads, also where every sign ends a line', async () => {
  const form = formOf({ note: '\n'.repeat(FORM_BYTES / 2 - 100) })
  expect(tooLongToSend(form, EMPTY_FORM)).toBeNull()
  const sent = await new Response(form).arrayBuffer()
  expect(sent.byteLength).toBeLessThanOrEqual(FORM_BYTES)
})
