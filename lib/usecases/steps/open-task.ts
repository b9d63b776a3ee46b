/** Puts something a person has to do on the desk, inside the transaction of what causes it. One open task a cause. */
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { insertTasks } from '#db/queries/tasks.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { TaskKind } from '#lib/domain/desk/stages.ts'
import type { Ctx } from '../context.ts'

export type TaskToOpen = {
  referralId: string
  kind: TaskKind
  /** The cause. While a task with it is open, no second one is. */
  dedupeKey: string
  /** Ids and codes only. */
  detail: Record<string, string | number | boolean | string[]>
  dueAt: Temporal.Instant | null
}

/** Opens the task, unless one is open for the same cause. */
export async function openTask(tx: Db, ctx: Ctx, task: TaskToOpen): Promise<void> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const id = ctx.newId('tsk')
  const opened = await insertTasks(tx, [{ ...task, id, clinicId, openedAt: now }])
  if (opened.length === 0) return
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: 'task.opened',
    subject: id,
    referralId: task.referralId,
    after: { kind: task.kind, ...task.detail },
  })
}
