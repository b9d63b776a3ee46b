/** Things a person has to do. One open task a cause: `tasks_open_key` decides, not the caller. */
import { and, asc, eq, inArray, isNull, notInArray, type SQL, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Db } from '../client.ts'
import { prepared } from '../prepared.ts'
import { tasks } from '../schema/index.ts'
import { chunks } from './referrals.ts'

export type Task = typeof tasks.$inferSelect
export type NewTask = typeof tasks.$inferInsert

/** Opens tasks; one that is already open for the same cause is left as it is. Returns the ids that are new. */
export async function insertTasks(tx: Db, rows: readonly NewTask[]): Promise<string[]> {
  const opened: string[] = []
  for (const some of chunks(rows, 1000)) {
    opened.push(
      ...(await tx.insert(tasks).values(some).onConflictDoNothing().returning({ id: tasks.id })).map((row) => row.id),
    )
  }
  return opened
}

export async function findTask(db: Db, clinicId: string, id: string): Promise<Task | null> {
  const [row] = await db
    .select()
    .from(tasks)
    .where(and(eq(tasks.clinicId, clinicId), eq(tasks.id, id)))
  return row ?? null
}

export async function listTasksOf(db: Db, clinicId: string, referralId: string): Promise<Task[]> {
  return db
    .select()
    .from(tasks)
    .where(and(eq(tasks.clinicId, clinicId), eq(tasks.referralId, referralId)))
    .orderBy(asc(tasks.openedAt), asc(tasks.id))
}

export async function listOpenTasksOf(db: Db, clinicId: string, referralId: string): Promise<Task[]> {
  return db
    .select()
    .from(tasks)
    .where(and(eq(tasks.clinicId, clinicId), eq(tasks.referralId, referralId), isNull(tasks.doneAt)))
    .orderBy(asc(tasks.openedAt), asc(tasks.id))
}

export type Done = { at: Temporal.Instant; by: string; note: string | null }

export async function markTaskDone(tx: Db, clinicId: string, id: string, done: Done): Promise<void> {
  await endOpen(tx, done, eq(tasks.clinicId, clinicId), eq(tasks.id, id))
}

/** Ends the open tasks of some kinds, or all but an emergency and a stop for safety, which only a person's call ends. */
export async function markTasksDone(
  tx: Db,
  clinicId: string,
  referralId: string,
  done: Done,
  ...kinds: Task['kind'][]
): Promise<void> {
  const these =
    kinds.length === 0 ? notInArray(tasks.kind, ['emergency_call', 'safety_stop']) : inArray(tasks.kind, kinds)
  await endOpen(tx, done, eq(tasks.clinicId, clinicId), eq(tasks.referralId, referralId), these)
}

/** Ends the open task of one cause, where what caused it is gone. */
export async function endTaskOf(
  tx: Db,
  clinicId: string,
  referralId: string,
  dedupeKey: string,
  done: Done,
): Promise<void> {
  await endOpen(
    tx,
    done,
    eq(tasks.clinicId, clinicId),
    eq(tasks.referralId, referralId),
    eq(tasks.dedupeKey, dedupeKey),
  )
}

/**
 * Ends the open tasks that a booked or moved visit settles: to plan again, to find it a new place and, where it is decided
 * how late it may be, that it is late, which alone keeps the note.
 */
export async function endTasksOfBooking(
  tx: Db,
  clinicId: string,
  referralId: string,
  { strandedKey, isLateSettled }: { strandedKey: string; isLateSettled: boolean },
  done: Done,
): Promise<void> {
  await endSettled(tx, { ...done, at: done.at.toString(), clinicId, referralId, strandedKey, isLateSettled })
}

const { placeholder } = sql
const endSettled = prepared('end_tasks_of_booking', (db) =>
  db
    .update(tasks)
    .set({
      doneAt: sql`${placeholder('at')}::timestamptz`,
      doneBy: sql`${placeholder('by')}::text`,
      doneNote: sql`case when ${tasks.kind} = 'see_by_breach' then ${placeholder('note')}::text end`,
    })
    .where(
      and(
        eq(tasks.clinicId, placeholder('clinicId')),
        eq(tasks.referralId, placeholder('referralId')),
        isNull(tasks.doneAt),
        sql`(${tasks.kind} = 'replan' or ${tasks.dedupeKey} = ${placeholder('strandedKey')}
          or ${tasks.kind} = 'see_by_breach' and ${placeholder('isLateSettled')}::boolean)`,
      ),
    ),
)

/** A task that is done already keeps who did it and when. */
async function endOpen(tx: Db, done: Done, ...which: SQL[]): Promise<void> {
  await tx
    .update(tasks)
    .set({ doneAt: done.at, doneBy: done.by, doneNote: done.note })
    .where(and(...which, isNull(tasks.doneAt)))
}

/** The open task of one cause. */
export async function findOpenTaskOf(
  db: Db,
  clinicId: string,
  referralId: string,
  dedupeKey: string,
): Promise<Task | null> {
  const [row] = await db
    .select()
    .from(tasks)
    .where(
      and(
        eq(tasks.clinicId, clinicId),
        eq(tasks.referralId, referralId),
        eq(tasks.dedupeKey, dedupeKey),
        isNull(tasks.doneAt),
      ),
    )
  return row ?? null
}

/** What an open task says, where the world has moved on since. */
export async function rewriteTask(
  tx: Db,
  clinicId: string,
  id: string,
  change: Pick<NewTask, 'detail' | 'dueAt'>,
): Promise<void> {
  await tx
    .update(tasks)
    .set(change)
    .where(and(eq(tasks.clinicId, clinicId), eq(tasks.id, id), isNull(tasks.doneAt)))
}
