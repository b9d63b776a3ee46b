/** The guarantees of `db/client.ts` that everything above relies on, on both back ends. */
import { sql } from 'drizzle-orm'
import { expect, test } from 'vitest'
import { notify, rawRows } from '#db/client.ts'
import { isWorthRetrying, sqlState, violatedConstraint } from '#db/errors.ts'
import { openTestDb } from '#tests/support/db.ts'

test('a notice arrives when its transaction commits, and never when it is rolled back', async () => {
  const { db, listen } = await openTestDb()
  const heard: string[] = []
  const { promise: arrived, resolve } = Promise.withResolvers<void>()
  const stop = await listen('board', (payload) => {
    heard.push(payload)
    if (payload === 'kept') resolve()
  })
  await db
    .transaction(async (tx) => {
      await notify(tx, 'board', 'rolled back')
      throw new Error('undo')
    })
    .catch(() => {})
  await db.transaction((tx) => notify(tx, 'board', 'kept'))
  await arrived
  await stop()
  expect(heard).toEqual(['kept'])
})

// Only a server has connections that can break.
test.runIf(process.env.TEST_BACK_END === 'postgres')(
  'whoever listens hears again after their connection broke',
  async () => {
    const { db, listen } = await openTestDb()
    const { promise: arrived, resolve } = Promise.withResolvers<string>()
    const stop = await listen('broken_line', resolve)
    await db.execute(sql`select pg_terminate_backend(pid) from pg_stat_activity
    where query ilike 'listen%broken_line%' and pid <> pg_backend_pid()`)
    // What is said while nobody listens is lost, so it is said until it is heard.
    const saying = setInterval(() => void notify(db, 'broken_line', 'again').catch(() => {}), 50)
    expect(await arrived).toBe('again')
    clearInterval(saying)
    await stop()
  },
)

test('a violated constraint is known by its name and code alone', async () => {
  const { db } = await openTestDb()
  const error = await db
    .transaction(async (tx) => {
      await tx.execute(sql`create temporary table seats (no int constraint seats_once unique) on commit drop`)
      await tx.execute(sql`insert into seats values (1), (1)`)
    })
    .catch((caught: unknown) => caught)
  expect(violatedConstraint(error)).toBe('seats_once')
  // 23505 unique_violation: PostgreSQL manual, appendix A.
  expect(sqlState(error)).toBe('23505')
  expect(isWorthRetrying(error)).toBe(false)
})

test('the session thinks in UTC, whatever the zone of the machine', async () => {
  const { db } = await openTestDb()
  expect(await rawRows(db, sql`select current_setting('TimeZone') as zone`)).toEqual([{ zone: 'UTC' }])
})
