/**
 * Is there still a start in time for a referral that waits for one? Looked at when it was decided how the patient is to be
 * seen, when a visit is lost, when somebody searches, and every few minutes, because sessions change, others book, and
 * the notice period eats up what was free. Where there is none the coordinator has a task that names the breach and what
 * would help; it is rewritten as the world moves on, and ends by itself when there is a start in time again.
 */
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import type { Clinic } from '#db/queries/clinics.ts'
import { endTaskOf, findOpenTaskOf, rewriteTask } from '#db/queries/tasks.ts'
import { ok } from '#lib/base/result.ts'
import { Temporal } from '#lib/base/time.ts'
import type { BookingCase } from '#lib/domain/booking/booking-case.ts'
import { type Breach, breachDetail } from '#lib/domain/booking/breach.ts'
import { plainWishes } from '#lib/domain/booking/demand-of.ts'
import { isAlreadyBooked, type Offer } from '#lib/domain/booking/offer.ts'
import type { Ctx } from '../context.ts'
import { inTransaction } from '../in-transaction.ts'
import { openTask } from './open-task.ts'
import { searchHelp, searchStarts } from './search-starts.ts'

const KEY = 'see_by_breach'

/** Whether a start in time is looked for at all: it has a limit that lies within what the clinic books, and no visit. */
export function awaitsStart(bookingCase: BookingCase, offer: Offer, clinic: Clinic, now: Temporal.Instant): boolean {
  const { seeBy } = bookingCase
  const horizon = now.add({ hours: 24 * clinic.policy.booking.horizonDays })
  const isWithin = seeBy !== null && Temporal.Instant.compare(seeBy, horizon) <= 0
  return isWithin && !isAlreadyBooked(bookingCase, offer.modes[0], { earlyLook: false })
}

/**
 * The breach of a referral that awaits a start, or null. While it isn't known in which state the patient will be, that is
 * the thing to find out, and no breach.
 */
export async function findBreach(
  db: Db,
  bookingCase: BookingCase,
  offer: Offer,
  clinic: Clinic,
  now: Temporal.Instant,
): Promise<Breach | null> {
  const { seeBy, home } = bookingCase
  const [mode] = offer.modes
  if (seeBy === null || (mode === 'video' && (home?.placeState ?? null) === null)) return null
  const wishes = plainWishes('staff', mode, [])
  const { starts } = await searchStarts(db, bookingCase, wishes, clinic, now)
  if (starts.length > 0) return null
  const help = await searchHelp(db, bookingCase, wishes, clinic, now)
  const isInTime = ({ startsAt }: { startsAt: string }) =>
    Temporal.Instant.compare(Temporal.Instant.from(startsAt), seeBy) <= 0
  return {
    mode,
    seeBy: seeBy.toString(),
    firstAt: help.find(({ kind }) => kind === 'after_see_by')?.startsAt ?? null,
    helps: help.filter(isInTime),
  }
}

/** Brings the task in line with what was found; null = there is a start in time, or none is looked for any more. */
export async function settleBreach(ctx: Ctx, referralId: string, breach: Breach | null): Promise<void> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const known = await findOpenTaskOf(ctx.db, clinicId, referralId, KEY)
  if (!breach && !known) return
  const detail = breach && breachDetail(breach)
  if (known && detail && sameDetail(known.detail, detail)) return
  await inTransaction(ctx, async (tx) => {
    const open = await findOpenTaskOf(tx, clinicId, referralId, KEY)
    const dueAt = breach && Temporal.Instant.from(breach.seeBy)
    if (!detail) await endTaskOf(tx, clinicId, referralId, KEY, { at: now, by: ctx.actor.id, note: null })
    else if (!open) await openTask(tx, ctx, { referralId, kind: KEY, dedupeKey: KEY, detail, dueAt })
    else await rewriteTask(tx, clinicId, open.id, { detail, dueAt })
    if (open) {
      await recordAudit(tx, {
        id: ctx.newId('aud'),
        at: now,
        actor: ctx.actor,
        action: detail ? 'task.changed' : 'task.ended',
        subject: open.id,
        referralId,
        before: open.detail as Record<string, unknown>,
        after: detail ?? { kind: KEY },
      })
    }
    return ok(null)
  })
}

function sameDetail(stored: unknown, made: object): boolean {
  const sorted = (detail: object) => JSON.stringify(Object.entries(detail).sort(([a], [b]) => (a < b ? -1 : 1)))
  return typeof stored === 'object' && stored !== null && sorted(stored) === sorted(made)
}
