/** Time that came free is offered on: written down as a job by whatever freed it, so that it is offered even after a crash. */
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { endEntry, findHeldStart, type StandbyOffer, settleOfferRow } from '#db/queries/standby.ts'
import { releaseHeldVisit } from '#db/queries/visits.ts'
import { Temporal } from '#lib/base/time.ts'
import type { OfferOutcome, StandbyEnd } from '#lib/domain/standby/standby.ts'
import type { Ctx, FreedTime } from '../context.ts'

/** Offers a clinician's time on, unless it is over. */
export async function freeTime(tx: Db, ctx: Ctx, freed: FreedTime): Promise<void> {
  const now = ctx.now()
  if (Temporal.Instant.compare(freed.to, now) <= 0) return
  await ctx.queue.enqueueFreedTime(tx, { ...freed, clinicId: ctx.actor.clinicId, dueAt: now })
}

/**
 * Ends a live offer. Its start goes back, and where it was not taken it is offered on; `ends` also takes its entry off the
 * list.
 */
export async function settleOffer(
  tx: Db,
  ctx: Ctx,
  offer: StandbyOffer,
  outcome: OfferOutcome,
  ends: StandbyEnd | null = null,
): Promise<void> {
  const now = ctx.now()
  const { clinicId } = ctx.actor
  const by = ctx.actor.id
  const held = await findHeldStart(tx, clinicId, offer.visitId)
  await settleOfferRow(tx, clinicId, offer.id, { outcome, at: now, by })
  if (held?.status === 'held') await releaseHeldVisit(tx, clinicId, offer.visitId, now)
  if (ends !== null) await endEntry(tx, clinicId, offer.entryId, { ended: ends, at: now, by })
  await recordAudit(tx, {
    id: ctx.newId('aud'),
    at: now,
    actor: ctx.actor,
    action: `offer.${outcome}`,
    subject: offer.id,
    referralId: offer.referralId,
    after: { startsAt: offer.startsAt.toString(), clinicianId: offer.clinicianId },
  })
  if (outcome !== 'accepted' && held)
    await freeTime(tx, ctx, { clinicianId: offer.clinicianId, from: held.busyFrom, to: held.busyTo })
}
