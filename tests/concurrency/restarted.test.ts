import { expect, test } from 'vitest'
import { restarted } from '#tests/soak/restarted.ts'

// The same with more of everything: npm run soak.
test('a restart of the database fails requests soon, and the same process goes on afterwards', {
  timeout: 90_000,
}, async () => {
  const figures = await restarted({ bookings: 120, lanes: 8, restarts: 1, downMs: 400 })
  expect(figures).toMatchObject({ booked: 120, refused: 0 })
  expect(figures.failed).toBeGreaterThan(0)
  expect(figures.slowestMs).toBeLessThan(15_000)
})
