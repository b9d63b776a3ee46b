/** Clinicians' calendar feeds: who has one, whose an address is, and what stands in it. */

import { and, asc, eq, gte, inArray, isNull, lt } from 'drizzle-orm'
import { fullName } from '#lib/base/plain-text.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { FeedVisit } from '#lib/domain/feed/clinician-feed.ts'
import { type ClinicPolicy, clinicPolicySchema } from '#lib/domain/policy/clinic-policy.ts'
import type { Db } from '../client.ts'
import {
  calendarFeeds,
  clinicians,
  clinics,
  interpreters,
  patients,
  rooms,
  sites,
  staff,
  visits,
} from '../schema/index.ts'

/** Every clinician at work, or one of them, with the feed that is alive, if any. */
export async function listFeeds(db: Db, clinicId: string, clinicianId: string | null) {
  return db
    .select({
      clinicianId: clinicians.id,
      name: clinicians.name,
      credentials: clinicians.credentials,
      feedId: calendarFeeds.id,
      createdAt: calendarFeeds.createdAt,
      createdBy: staff.name,
    })
    .from(clinicians)
    .leftJoin(
      calendarFeeds,
      and(
        eq(calendarFeeds.clinicId, clinicians.clinicId),
        eq(calendarFeeds.clinicianId, clinicians.id),
        isNull(calendarFeeds.revokedAt),
      ),
    )
    .leftJoin(staff, and(eq(staff.clinicId, calendarFeeds.clinicId), eq(staff.id, calendarFeeds.createdBy)))
    .where(
      and(
        eq(clinicians.clinicId, clinicId),
        eq(clinicians.isActive, true),
        clinicianId === null ? undefined : eq(clinicians.id, clinicianId),
      ),
    )
    .orderBy(asc(clinicians.name), asc(clinicians.id))
}

/** Ends the address that is alive; says whether there was one. */
export async function endFeed(tx: Db, clinicId: string, clinicianId: string, at: Temporal.Instant): Promise<boolean> {
  const ended = await tx
    .update(calendarFeeds)
    .set({ revokedAt: at })
    .where(
      and(
        eq(calendarFeeds.clinicId, clinicId),
        eq(calendarFeeds.clinicianId, clinicianId),
        isNull(calendarFeeds.revokedAt),
      ),
    )
    .returning({ id: calendarFeeds.id })
  return ended.length > 0
}

export async function insertFeed(tx: Db, feed: typeof calendarFeeds.$inferInsert): Promise<void> {
  await tx.insert(calendarFeeds).values(feed)
}

export type LiveFeed = {
  id: string
  clinicId: string
  clinicName: string
  clinicTimeZone: string
  policy: ClinicPolicy
  clinicianId: string
  clinicianName: string
  timeZone: string
  contentHash: string | null
  contentChangedAt: Temporal.Instant | null
}

/** Whose address it is; null where the clinic, the token or the clinician is not known or not alive, without telling which. */
export async function findLiveFeed(db: Db, slug: string, tokenHash: string): Promise<LiveFeed | null> {
  const [row] = await db
    .select({
      id: calendarFeeds.id,
      clinicId: clinics.id,
      clinicName: clinics.name,
      clinicTimeZone: clinics.timeZone,
      policy: clinics.policy,
      clinicianId: clinicians.id,
      clinicianName: clinicians.name,
      timeZone: clinicians.timeZone,
      contentHash: calendarFeeds.contentHash,
      contentChangedAt: calendarFeeds.contentChangedAt,
    })
    .from(clinics)
    .innerJoin(calendarFeeds, eq(calendarFeeds.clinicId, clinics.id))
    .innerJoin(
      clinicians,
      and(eq(clinicians.clinicId, calendarFeeds.clinicId), eq(clinicians.id, calendarFeeds.clinicianId)),
    )
    .where(
      and(
        eq(clinics.slug, slug),
        eq(calendarFeeds.tokenHash, tokenHash),
        isNull(calendarFeeds.revokedAt),
        eq(clinicians.isActive, true),
      ),
    )
  return row ? { ...row, policy: clinicPolicySchema.parse(row.policy) } : null
}

/** The visits of one clinician that start in [from, to), cancelled ones too. A hold is no visit yet. */
export async function listFeedVisits(
  db: Db,
  clinicId: string,
  clinicianId: string,
  range: { from: Temporal.Instant; to: Temporal.Instant },
): Promise<FeedVisit[]> {
  const rows = await db
    .select({
      visitId: visits.id,
      uid: visits.calendarUid,
      sequence: visits.calendarSequence,
      mode: visits.mode,
      status: visits.status,
      startsAt: visits.startsAt,
      endsAt: visits.endsAt,
      createdAt: visits.createdAt,
      changedAt: visits.changedAt,
      givenName: patients.givenName,
      familyName: patients.familyName,
      interpreterName: interpreters.name,
      roomName: rooms.name,
      siteName: sites.name,
      address: sites.address,
    })
    .from(visits)
    .innerJoin(patients, and(eq(patients.clinicId, visits.clinicId), eq(patients.id, visits.patientId)))
    .leftJoin(interpreters, and(eq(interpreters.clinicId, visits.clinicId), eq(interpreters.id, visits.interpreterId)))
    .leftJoin(rooms, and(eq(rooms.clinicId, visits.clinicId), eq(rooms.id, visits.roomId)))
    .leftJoin(sites, and(eq(sites.clinicId, rooms.clinicId), eq(sites.id, rooms.siteId)))
    .where(
      and(
        eq(visits.clinicId, clinicId),
        eq(visits.clinicianId, clinicianId),
        inArray(visits.status, ['booked', 'cancelled', 'done', 'no_show']),
        gte(visits.startsAt, range.from),
        lt(visits.startsAt, range.to),
      ),
    )
    .orderBy(asc(visits.startsAt), asc(visits.id))
  return rows.map(({ status, givenName, familyName, roomName, siteName, address, ...row }) => ({
    ...row,
    isCancelled: status === 'cancelled',
    patientName: fullName({ givenName, familyName }),
    place: roomName !== null && siteName !== null && address !== null ? { roomName, siteName, address } : null,
  }))
}

/** What a feed says now, where it is something else than before. */
export async function rememberContent(
  db: Db,
  { clinicId, id }: Pick<LiveFeed, 'clinicId' | 'id'>,
  content: { contentHash: string; contentChangedAt: Temporal.Instant },
): Promise<void> {
  await db
    .update(calendarFeeds)
    .set(content)
    .where(and(eq(calendarFeeds.clinicId, clinicId), eq(calendarFeeds.id, id)))
}
