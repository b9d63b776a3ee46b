/** What a program complains about on the console is a fault nobody looked at: it fails the test it happened in. */
import { afterEach, beforeEach, expect, vi } from 'vitest'

beforeEach(() => {
  vi.spyOn(console, 'error')
})

afterEach(() => {
  const complaints = vi.mocked(console.error).mock.calls
  vi.restoreAllMocks()
  expect(complaints).toEqual([])
})
