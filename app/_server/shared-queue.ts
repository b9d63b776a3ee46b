/** The process's one connection to the durable queue, opened at its start and known to every bundle in it. */
import type { QueuePort } from '#lib/usecases/context.ts'

const SHARED = Symbol.for('farstep.queue')
const processWide = globalThis as { [SHARED]?: QueuePort }

export function shareQueue(queue: QueuePort): void {
  processWide[SHARED] = queue
}

export function sharedQueue(): QueuePort {
  const queue = processWide[SHARED]
  if (!queue) throw new Error('The queue is not open: it is opened when the server starts')
  return queue
}
