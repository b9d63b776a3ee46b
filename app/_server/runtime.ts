/**
 * What the use cases run on in this process: the database opened at its start, the clock, the makers of ids and secrets,
 * and the queue. The only place in the app where they are put together.
 */
import { sharedDatabase } from '#db/client.ts'
import { newId, secrets } from '#lib/adapters/secrets.ts'
import { Temporal } from '#lib/base/time.ts'
import type { Actor } from '#lib/domain/access/actor.ts'
import type { Ctx } from '#lib/usecases/context.ts'
import { sharedQueue } from './shared-queue.ts'

/** A context in which nobody is known yet: for signing in. */
export function unsignedContext(): Omit<Ctx, 'actor'> {
  return {
    db: sharedDatabase().db,
    now: () => Temporal.Now.instant(),
    newId,
    secrets,
    // Looked up when something is to be sent: most pages only read.
    get queue() {
      return sharedQueue()
    },
  }
}

/** A context for the clinic itself, such as a link that is being opened. Never for a deed of a person. */
export function clinicContext(clinicId: string): Ctx {
  return contextOf({ kind: 'system', clinicId, id: 'system' })
}

export function contextOf<A extends Actor>(actor: A): Ctx & { actor: A } {
  return Object.assign(unsignedContext(), { actor })
}
