/** The standby list and its offers. Who gets a start is decided by the constraints on the row that holds it. */
import { and, desc, eq, gt, inArray, isNotNull, isNull, lt, ne, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Priority } from '#lib/domain/desk/stages.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'
import type { OfferOutcome, StandbyEnd } from '#lib/domain/standby/standby.ts'
import type { Db } from '../client.ts'
import { assessments, clinicians, patients, referrals, standbyEntries, standbyOffers, visits } from '../schema/index.ts'

export type StandbyEntry = typeof standbyEntries.$inferSelect
export type StandbyOffer = typeof standbyOffers.$inferSelect

export async function insertEntry(tx: Db, row: typeof standbyEntries.$inferInsert): Promise<void> {
  await tx.insert(standbyEntries).values(row)
}

/** The referral's place on the list; null = it has none. */
export async function findOpenEntry(db: Db, clinicId: string, referralId: string): Promise<StandbyEntry | null> {
  const [row] = await db
    .select()
    .from(standbyEntries)
    .where(
      and(
        eq(standbyEntries.clinicId, clinicId),
        eq(standbyEntries.referralId, referralId),
        isNull(standbyEntries.endedAt),
      ),
    )
  return row ?? null
}

export async function endEntry(
  tx: Db,
  clinicId: string,
  id: string,
  { ended, at, by }: { ended: StandbyEnd; at: Temporal.Instant; by: string },
): Promise<void> {
  await tx
    .update(standbyEntries)
    .set({ ended, endedAt: at, endedBy: by })
    .where(and(eq(standbyEntries.clinicId, clinicId), eq(standbyEntries.id, id)))
}

export async function setNotice(tx: Db, clinicId: string, id: string, noticeHours: number): Promise<void> {
  await tx
    .update(standbyEntries)
    .set({ noticeHours })
    .where(and(eq(standbyEntries.clinicId, clinicId), eq(standbyEntries.id, id)))
}

export type WaitingRow = {
  entryId: string
  referralId: string
  patientName: string
  joinedAt: Temporal.Instant
  noticeHours: number
  seeBy: Temporal.Instant | null
  priority: Priority
  disposition: Disposition | null
  /** The visit they have. */
  bookedAt: Temporal.Instant | null
  patientTimeZone: string | null
}

/** Everybody on the list whose referral is open. In no order: the domain has one. */
export async function listWaiting(db: Db, clinicId: string): Promise<WaitingRow[]> {
  const newest = db
    .select({
      disposition: sql<Disposition>`coalesce(${assessments.overruledTo}, ${assessments.disposition})`.as('it'),
    })
    .from(assessments)
    .where(
      and(eq(assessments.clinicId, standbyEntries.clinicId), eq(assessments.referralId, standbyEntries.referralId)),
    )
    .orderBy(desc(assessments.at), desc(assessments.id))
    .limit(1)
    .as('newest')
  // In person before an early look: the look never stands for the visit.
  const booked = db
    .select({ startsAt: visits.startsAt, timeZone: visits.patientTimeZone })
    .from(visits)
    .where(
      and(
        eq(visits.clinicId, standbyEntries.clinicId),
        eq(visits.referralId, standbyEntries.referralId),
        eq(visits.status, 'booked'),
      ),
    )
    .orderBy(desc(visits.mode))
    .limit(1)
    .as('booked')
  const rows = await db
    .select({
      entryId: standbyEntries.id,
      referralId: standbyEntries.referralId,
      patientName: sql<string>`${patients.givenName} || ' ' || ${patients.familyName}`,
      joinedAt: standbyEntries.joinedAt,
      noticeHours: standbyEntries.noticeHours,
      seeBy: referrals.seeBy,
      priority: referrals.priority,
      disposition: newest.disposition,
      bookedAt: booked.startsAt,
      patientTimeZone: sql<string | null>`coalesce(${booked.timeZone}, ${patients.timeZone})`,
    })
    .from(standbyEntries)
    .innerJoin(
      referrals,
      and(eq(referrals.clinicId, standbyEntries.clinicId), eq(referrals.id, standbyEntries.referralId)),
    )
    .innerJoin(patients, and(eq(patients.clinicId, referrals.clinicId), eq(patients.id, referrals.patientId)))
    .leftJoinLateral(newest, sql`true`)
    .leftJoinLateral(booked, sql`true`)
    .where(and(eq(standbyEntries.clinicId, clinicId), isNull(standbyEntries.endedAt), ne(referrals.stage, 'closed')))
  return rows as WaitingRow[]
}

export async function insertOffer(tx: Db, row: typeof standbyOffers.$inferInsert): Promise<void> {
  await tx.insert(standbyOffers).values(row)
}

export async function findOffer(db: Db, clinicId: string, id: string): Promise<StandbyOffer | null> {
  const [row] = await db
    .select()
    .from(standbyOffers)
    .where(and(eq(standbyOffers.clinicId, clinicId), eq(standbyOffers.id, id)))
  return row ?? null
}

/** The live offer for which a row holds its start; null = it holds it for somebody's own choice. */
export async function findOfferOfHold(db: Db, clinicId: string, visitId: string): Promise<StandbyOffer | null> {
  const [row] = await db
    .select()
    .from(standbyOffers)
    .where(and(eq(standbyOffers.clinicId, clinicId), eq(standbyOffers.visitId, visitId), isNull(standbyOffers.outcome)))
  return row ?? null
}

/** The referral's newest offer, live or not. */
export async function findNewestOffer(db: Db, clinicId: string, referralId: string): Promise<StandbyOffer | null> {
  const [row] = await db
    .select()
    .from(standbyOffers)
    .where(and(eq(standbyOffers.clinicId, clinicId), eq(standbyOffers.referralId, referralId)))
    .orderBy(desc(standbyOffers.offeredAt), desc(standbyOffers.id))
    .limit(1)
  return row ?? null
}

/** Whether it was still live: of two who settle it, one does. */
export async function settleOfferRow(
  tx: Db,
  clinicId: string,
  id: string,
  { outcome, at, by }: { outcome: OfferOutcome; at: Temporal.Instant; by: string },
): Promise<boolean> {
  const settled = await tx
    .update(standbyOffers)
    .set({ outcome, settledAt: at, settledBy: by })
    .where(and(eq(standbyOffers.clinicId, clinicId), eq(standbyOffers.id, id), isNull(standbyOffers.outcome)))
    .returning({ id: standbyOffers.id })
  return settled.length > 0
}

/** Live offers, and those about this clinician's time that nobody took. */
export async function listAsked(
  db: Db,
  clinicId: string,
  { clinicianId, from, to }: { clinicianId: string; from: Temporal.Instant; to: Temporal.Instant },
): Promise<Pick<StandbyOffer, 'entryId' | 'outcome' | 'startsAt' | 'endsAt'>[]> {
  return db
    .select({
      entryId: standbyOffers.entryId,
      outcome: standbyOffers.outcome,
      startsAt: standbyOffers.startsAt,
      endsAt: standbyOffers.endsAt,
    })
    .from(standbyOffers)
    .where(
      and(
        eq(standbyOffers.clinicId, clinicId),
        sql`(${standbyOffers.outcome} is null or ${and(
          inArray(standbyOffers.outcome, ['declined', 'expired']),
          eq(standbyOffers.clinicianId, clinicianId),
          lt(standbyOffers.startsAt, to),
          gt(standbyOffers.endsAt, from),
        )})`,
      ),
    )
}

export type ShownOffer = StandbyOffer & {
  patientName: string
  clinicianName: string
  mode: 'video' | 'in_person'
  patientTimeZone: string
}

/** Live offers by when they end, or the newest of those that are settled. */
export async function listOffers(
  db: Db,
  clinicId: string,
  which: 'live' | 'settled',
  limit: number,
): Promise<ShownOffer[]> {
  const rows = await db
    .select({
      offer: standbyOffers,
      patientName: sql<string>`${patients.givenName} || ' ' || ${patients.familyName}`,
      clinicianName: clinicians.name,
      mode: visits.mode,
      patientTimeZone: visits.patientTimeZone,
    })
    .from(standbyOffers)
    .innerJoin(visits, and(eq(visits.clinicId, standbyOffers.clinicId), eq(visits.id, standbyOffers.visitId)))
    .innerJoin(patients, and(eq(patients.clinicId, visits.clinicId), eq(patients.id, visits.patientId)))
    .innerJoin(
      clinicians,
      and(eq(clinicians.clinicId, standbyOffers.clinicId), eq(clinicians.id, standbyOffers.clinicianId)),
    )
    .where(
      and(
        eq(standbyOffers.clinicId, clinicId),
        which === 'live' ? isNull(standbyOffers.outcome) : isNotNull(standbyOffers.outcome),
      ),
    )
    .orderBy(which === 'live' ? standbyOffers.expiresAt : desc(standbyOffers.settledAt), standbyOffers.id)
    .limit(limit)
  return rows.map(({ offer, ...names }) => ({ ...offer, ...names }))
}

/** What a visit's row takes, as it was written, whether held or booked. */
export async function findTakenStart(db: Db, clinicId: string, visitId: string) {
  const [row] = await db
    .select({
      sessionId: visits.sessionId,
      clinicianId: visits.clinicianId,
      mode: visits.mode,
      startsAt: visits.startsAt,
      roomId: visits.roomId,
      interpreterId: visits.interpreterId,
      busyFrom: visits.busyFrom,
      busyTo: visits.busyTo,
      status: visits.status,
    })
    .from(visits)
    .where(and(eq(visits.clinicId, clinicId), eq(visits.id, visitId)))
  return row ?? null
}

/** The last instant at which a hold of somebody's own in this time of a clinician's runs out; null = nobody holds any. */
export async function findHoldEnd(
  db: Db,
  clinicId: string,
  {
    clinicianId,
    from,
    to,
    now,
  }: { clinicianId: string; from: Temporal.Instant; to: Temporal.Instant; now: Temporal.Instant },
): Promise<Temporal.Instant | null> {
  const [row] = await db
    .select({ until: visits.holdExpiresAt })
    .from(visits)
    .where(
      and(
        eq(visits.clinicId, clinicId),
        eq(visits.clinicianId, clinicianId),
        eq(visits.status, 'held'),
        eq(visits.isOffer, false),
        gt(visits.holdExpiresAt, now),
        lt(visits.busyFrom, to),
        gt(visits.busyTo, from),
      ),
    )
    .orderBy(desc(visits.holdExpiresAt))
    .limit(1)
  return row?.until ?? null
}
