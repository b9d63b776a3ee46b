/** Nothing of the app is open by oversight: each way in has its row in the written-down matrix, and no row is of the past. */
import { expect, test } from 'vitest'
import { discoverActions, discoverHandlers, discoverPages, hiddenActions } from '#tests/access/discover.ts'
import { ACTIONS, HANDLERS, PAGES } from '#tests/access/matrix.ts'

test.each([
  ['page', discoverPages(), PAGES],
  ['route handler', discoverHandlers(), HANDLERS],
  ['server action', discoverActions(), ACTIONS],
])('every %s stands in the access matrix, and the matrix names no other', (_kind, found, rows) => {
  expect(found.toSorted()).toEqual(Object.keys(rows).toSorted())
})

test('no server action hides inside a component, where no row could name it', () => {
  expect(hiddenActions()).toEqual([])
})
