/** Time that came free is offered on: written down as a job by whatever freed it, so that it is offered even after a crash. */
import type { Db } from '#db/client.ts'
import { recordAudit } from '#db/queries/audit.ts'
import { getClinic } from '#db/queries/clinics.ts'
import { endEntry, findTakenStart, type StandbyOffer, settleOfferRow } from '#db/queries/standby.ts'
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

/** All of a clinician's time, as far ahead as the clinic books. */
export async function allAhead(tx: Db, ctx: Ctx, clinicianId: string): Promise<FreedTime> {
  const now = ctx.now()
  const { policy } = await getClinic(tx, ctx.actor.clinicId)
  return { clinicianId, from: now, to: now.add({ hours: 24 * policy.booking.horizonDays }) }
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
  const held = await findTakenStart(tx, clinicId, offer.visitId)
  if (!(await settleOfferRow(tx, clinicId, offer.id, { outcome, at: now, by }))) return
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
