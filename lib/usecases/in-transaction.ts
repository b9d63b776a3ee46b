/** The one way a use case writes: all of it, or nothing. */
import type { Db } from '#db/client.ts'
import { isWorthRetrying, violatedConstraint } from '#db/errors.ts'
import { err, type Result } from '#lib/base/result.ts'
import type { Ctx } from './context.ts'

class Rollback extends Error {
  readonly result: Result<never, unknown>
  constructor(result: Result<never, unknown>) {
    super('rollback')
    this.result = result
  }
}

/** Two transactions that wait for each other end with one of them undone by the database: that one is run again. */
const TRIES = 3

/**
 * Runs `work` in one transaction and rolls back when it returns an error.
 * `onConstraint` turns a named database constraint into an expected error; any
 * other failure is a bug and is thrown on.
 *
 * Only `tx` may be queried inside `work`: PGlite has one connection, so a query
 * on `ctx.db` would wait for its own transaction for ever.
 */
export async function inTransaction<T, E>(
  ctx: Pick<Ctx, 'db'>,
  work: (tx: Db) => Promise<Result<T, E>>,
  onConstraint: Record<string, E> = {},
): Promise<Result<T, E>> {
  for (let triesLeft = TRIES - 1; ; triesLeft -= 1) {
    try {
      return await ctx.db.transaction(async (tx) => {
        const result = await work(tx)
        if (!result.ok) throw new Rollback(result)
        return result
      })
    } catch (error) {
      if (error instanceof Rollback) return error.result as Result<T, E>
      const constraint = violatedConstraint(error)
      const expected = constraint === null ? undefined : onConstraint[constraint]
      if (expected !== undefined) return err(expected)
      if (triesLeft === 0 || !isWorthRetrying(error)) throw error
    }
  }
}
