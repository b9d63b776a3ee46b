/**
 * Commands that may be sent twice (a trembling double click, a phone that lost
 * its connection) are carried out once: the key's row and the deed are one
 * transaction, so a repeat finds the answer and does nothing.
 */

import type { Db } from '#db/client.ts'
import { findCommand, recordCommand } from '#db/queries/commands.ts'
import type { Result } from '#lib/base/result.ts'
import type { Ctx } from './context.ts'
import { inTransaction } from './in-transaction.ts'

export type Command = { key: string; kind: string }
export type Repeated = { code: 'command_of_someone_else' }

/** As `inTransaction`, but a repeated key gets the first answer again. The answer must be plain data. */
export async function once<T, E>(
  ctx: Ctx,
  command: Command,
  work: (tx: Db) => Promise<Result<T, E>>,
  onConstraint: Record<string, E> = {},
): Promise<Result<T, E | Repeated>> {
  const isMine = (row: { kind: string; actorId: string }) => row.kind === command.kind && row.actorId === ctx.actor.id
  const attempt = () =>
    inTransaction<T, E | Repeated | { code: 'command_in_flight' }>(
      ctx,
      async (tx) => {
        const earlier = await findCommand(tx, ctx.actor.clinicId, command.key)
        if (earlier) {
          if (!isMine(earlier)) return { ok: false, error: { code: 'command_of_someone_else' } }
          return { ok: true, value: earlier.answer as T }
        }
        const result = await work(tx)
        if (result.ok) {
          await recordCommand(tx, {
            ...command,
            clinicId: ctx.actor.clinicId,
            actorId: ctx.actor.id,
            answer: result.value,
            at: ctx.now(),
          })
        }
        return result
      },
      { ...onConstraint, commands_clinic_id_key_pk: { code: 'command_in_flight' } },
    )
  const first = await attempt()
  // The twin committed between our look-up and our insert: its answer is there now.
  const settled = !first.ok && isInFlight(first.error) ? await attempt() : first
  return settled as Result<T, E | Repeated>
}

function isInFlight(error: unknown): boolean {
  return typeof error === 'object' && error !== null && 'code' in error && error.code === 'command_in_flight'
}
