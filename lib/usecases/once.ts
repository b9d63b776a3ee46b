/**
 * Commands that may be sent twice (a trembling double click, a phone that lost
 * its connection) are carried out once: the key's row and the deed are one
 * transaction, so a repeat finds the answer and does nothing.
 */

import type { Db } from '#db/client.ts'
import { findCommand, recordCommand } from '#db/queries/commands.ts'
import { isShowable } from '#lib/base/plain-text.ts'
import type { Result } from '#lib/base/result.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export type Command = { key: string; kind: string }
export type Repeated = { code: 'command_of_someone_else' }

/**
 * As `inTransaction`, but a repeated key gets the first answer again. The answer must be plain data. The deed is done
 * first and its key written last: a repeat fails on the key and is undone, so whoever comes for the first time, which is
 * nearly everybody, looks nothing up.
 */
export async function once<T, E>(
  ctx: Ctx,
  command: Command,
  work: (tx: Db) => Promise<Result<T, E>>,
  onConstraint: Record<string, E> = {},
): Promise<Result<T, E | Repeated>> {
  // A form carries its key, and whoever sends the form may have changed it: what the database can't keep is nobody's key.
  if (!isShowable(command.key)) return { ok: false, error: { code: 'command_of_someone_else' } }
  const { clinicId, id: actorId } = ctx.actor
  const keep = async (tx: Db) => {
    const result = await work(tx)
    if (result.ok) await recordCommand(tx, { ...command, clinicId, actorId, answer: result.value, at: ctx.now() })
    return result
  }
  const outcome = await inTransaction<T, E | Repeat>(ctx, keep, { ...onConstraint, commands_clinic_id_key_pk: REPEAT })
    // What was done once may not be possible a second time.
    .catch((error: unknown) => ({ ok: false as const, error: new Failed(error) }))
  if (outcome.ok) return outcome

  const earlier = await findCommand(ctx.db, clinicId, command.key)
  if (earlier && (earlier.kind !== command.kind || earlier.actorId !== actorId))
    return { ok: false, error: { code: 'command_of_someone_else' } }
  if (earlier) return { ok: true, value: earlier.answer as T }
  if (outcome.error instanceof Failed) throw outcome.error.cause
  return outcome as Result<T, E>
}

const REPEAT = { code: 'repeat' } as const
type Repeat = typeof REPEAT

class Failed {
  readonly cause: unknown
  constructor(cause: unknown) {
    this.cause = cause
  }
}
