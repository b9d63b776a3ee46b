/** Visits with everything that decides whether they are ready, in one query. */
import { and, asc, desc, eq, gt, gte, inArray, isNull, lt, lte, notLike, type SQL, sql } from 'drizzle-orm'
import { fullName } from '#lib/base/plain-text.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import type { StoredVisit } from '#lib/domain/readiness/board-visit.ts'
import type { Screening } from '#lib/domain/screening/screening.ts'
import type { Db } from '../client.ts'
import {
  assessments,
  auditEvents,
  clinicians,
  homeChecks,
  interpreters,
  packets,
  patients,
  readinessKept,
  referrals,
  rooms,
  sites,
  staff,
  tasks,
  visits,
} from '../schema/index.ts'

/**
 * Visits of a clinic that start in [from, to), by start. A screening is many times the rest of its visit, so it is left out
 * here and read for those that are shown (`listScreeningsOf`).
 */
export async function listBoard(
  db: Db,
  clinicId: string,
  from: Temporal.Instant,
  to: Temporal.Instant,
): Promise<StoredVisit[]> {
  return select(db, and(eq(visits.clinicId, clinicId), startsWithin(from, to)), { withScreening: false })
}

/** How many visits start on each day (yyyy-mm-dd in the zone) of [from, to); a day without any is left out. */
export async function countByDay(
  db: Db,
  clinicId: string,
  from: Temporal.Instant,
  to: Temporal.Instant,
  timeZone: string,
): Promise<Map<string, number>> {
  const day = sql<string>`(${visits.startsAt} at time zone ${timeZone})::date::text`
  const rows = await db
    .select({ day: day.as('day'), visits: sql<number>`count(*)::int` })
    .from(visits)
    .where(and(eq(visits.clinicId, clinicId), startsWithin(from, to)))
    .groupBy(sql`1`)
  return new Map(rows.map((row) => [row.day, row.visits]))
}

function startsWithin(from: Temporal.Instant, to: Temporal.Instant) {
  return and(gte(visits.startsAt, from), lt(visits.startsAt, to), inArray(visits.status, ['booked', 'done', 'no_show']))
}

/** The screening each visit was planned from. */
export async function listScreeningsOf(
  db: Db,
  clinicId: string,
  visitIds: readonly string[],
): Promise<Map<string, Screening>> {
  if (visitIds.length === 0) return new Map()
  const rows = await db
    .select({ visitId: visits.id, screening: assessments.screening })
    .from(visits)
    .innerJoin(assessments, and(eq(assessments.clinicId, visits.clinicId), eq(assessments.id, visits.assessmentId)))
    .where(and(eq(visits.clinicId, clinicId), inArray(visits.id, [...visitIds])))
  return new Map(rows.map((row) => [row.visitId, row.screening as Screening]))
}

export type LastChange = { action: string; at: Temporal.Instant; by: string; byKind: string }

/** The last deed on each referral, by whom. Mail that goes out by itself is none. */
export async function listLastChanges(
  db: Db,
  clinicId: string,
  referralIds: readonly string[],
): Promise<Map<string, LastChange>> {
  if (referralIds.length === 0) return new Map()
  const rows = await db
    .selectDistinctOn([auditEvents.referralId], {
      referralId: sql<string>`${auditEvents.referralId}`,
      action: auditEvents.action,
      at: auditEvents.at,
      by: sql<string>`coalesce(${staff.name}, ${auditEvents.actorKind})`,
      byKind: auditEvents.actorKind,
    })
    .from(auditEvents)
    .leftJoin(staff, and(eq(staff.clinicId, auditEvents.clinicId), eq(staff.id, auditEvents.actorId)))
    .where(
      and(
        eq(auditEvents.clinicId, clinicId),
        inArray(auditEvents.referralId, [...referralIds]),
        notLike(auditEvents.action, 'message.%'),
      ),
    )
    .orderBy(auditEvents.referralId, desc(auditEvents.at), desc(auditEvents.id))
  return new Map(rows.map(({ referralId, ...change }) => [referralId, change]))
}

export async function findVisitToShow(db: Db, clinicId: string, visitId: string): Promise<StoredVisit | null> {
  const [row] = await select(
    db,
    and(
      eq(visits.clinicId, clinicId),
      eq(visits.id, visitId),
      inArray(visits.status, ['booked', 'done', 'no_show', 'cancelled']),
    ),
  )
  return row ?? null
}

/** Visits within a day of their start of which it was not written down how ready they are, the soonest first. */
export async function listUnkeptVisits(
  db: Db,
  clinicId: string,
  now: Temporal.Instant,
  limit: number,
): Promise<StoredVisit[]> {
  return select(
    db,
    and(
      eq(visits.clinicId, clinicId),
      gt(visits.startsAt, now),
      lte(visits.startsAt, now.add({ hours: 24 })),
      eq(visits.status, 'booked'),
      sql`not exists (select 1 from ${readinessKept} k where k.clinic_id = ${visits.clinicId}
        and k.visit_id = ${visits.id} and k.for_starts_at = ${visits.startsAt})`,
    ),
    { limit },
  )
}

/** The referral's booked visit; where an early video look stands beside one at the clinic, the sooner of the two. */
export async function findVisitOfReferral(db: Db, clinicId: string, referralId: string): Promise<StoredVisit | null> {
  const rows = await select(
    db,
    and(eq(visits.clinicId, clinicId), eq(visits.referralId, referralId), eq(visits.status, 'booked')),
  )
  // An early look stands beside a visit in person; it comes first, and is the one to get ready for.
  return rows.find(({ mode }) => mode === 'video') ?? rows[0] ?? null
}

async function select(
  db: Db,
  where: SQL | undefined,
  { limit, withScreening = true }: { limit?: number; withScreening?: boolean } = {},
): Promise<StoredVisit[]> {
  const newestPacket = db
    .select({ revision: packets.revision, at: packets.at })
    .from(packets)
    .where(and(eq(packets.clinicId, visits.clinicId), eq(packets.visitId, visits.id)))
    .orderBy(desc(packets.revision))
    .limit(1)
    .as('newest_packet')
  const open = db
    .select({ kinds: sql<string[] | null>`array_agg(${tasks.kind}::text)`.as('kinds') })
    .from(tasks)
    .where(and(eq(tasks.clinicId, visits.clinicId), eq(tasks.referralId, visits.referralId), isNull(tasks.doneAt)))
    .as('open')
  // By video the patient's place decides, in person the site's; on the visit's own day there.
  const hasLicence = sql<boolean>`exists (
    select 1 from licences l
    where l.clinic_id = ${visits.clinicId} and l.clinician_id = ${visits.clinicianId}
      and l.state = case when ${visits.mode} = 'in_person' then ${sites.state} else coalesce(${homeChecks.placeState}, ${visits.placeState}) end
      and (${visits.startsAt} at time zone ${visits.patientTimeZone})::date between l.valid_from and coalesce(l.valid_to, 'infinity'::date)
  )`
  const query = db
    .select({
      visitId: visits.id,
      referralId: visits.referralId,
      status: visits.status,
      mode: visits.mode,
      startsAt: visits.startsAt,
      endsAt: visits.endsAt,
      bookedAt: visits.createdAt,
      changedAt: visits.changedAt,
      version: visits.version,
      patientTimeZone: visits.patientTimeZone,
      givenName: patients.givenName,
      familyName: patients.familyName,
      patientPhone: patients.phone,
      interpreterLanguage: patients.interpreterLanguage,
      sessionId: visits.sessionId,
      clinicianId: visits.clinicianId,
      clinicianName: clinicians.name,
      clinicianLanguages: clinicians.languages,
      interpreterName: interpreters.name,
      roomName: rooms.name,
      siteName: sites.name,
      side: referrals.side,
      protocolId: referrals.protocolId,
      protocolVersion: referrals.protocolVersion,
      conditionId: referrals.conditionId,
      imageReceived: referrals.imageReceived,
      plan: visits.plan,
      screening: withScreening ? assessments.screening : sql<null>`null`,
      overruledTo: assessments.overruledTo,
      placeAddress: homeChecks.placeAddress,
      placeState: homeChecks.placeState,
      callbackPhone: homeChecks.callbackPhone,
      contactName: homeChecks.contactName,
      contactPhone: homeChecks.contactPhone,
      helperName: homeChecks.helperName,
      homeCheckInvitedAt: homeChecks.invitedAt,
      homeCheckFinishedAt: homeChecks.finishedAt,
      consentedAt: homeChecks.consentedAt,
      packetRevision: newestPacket.revision,
      packetAt: newestPacket.at,
      hasLicence: hasLicence.as('has_licence'),
      openTasks: open.kinds,
    })
    .from(visits)
    .innerJoin(referrals, and(eq(referrals.clinicId, visits.clinicId), eq(referrals.id, visits.referralId)))
    .innerJoin(patients, and(eq(patients.clinicId, visits.clinicId), eq(patients.id, visits.patientId)))
    .innerJoin(clinicians, and(eq(clinicians.clinicId, visits.clinicId), eq(clinicians.id, visits.clinicianId)))
    .leftJoin(interpreters, and(eq(interpreters.clinicId, visits.clinicId), eq(interpreters.id, visits.interpreterId)))
    .leftJoin(rooms, and(eq(rooms.clinicId, visits.clinicId), eq(rooms.id, visits.roomId)))
    .leftJoin(sites, and(eq(sites.clinicId, rooms.clinicId), eq(sites.id, rooms.siteId)))
    .leftJoin(homeChecks, and(eq(homeChecks.clinicId, visits.clinicId), eq(homeChecks.referralId, visits.referralId)))
    .leftJoin(assessments, and(eq(assessments.clinicId, visits.clinicId), eq(assessments.id, visits.assessmentId)))
    .leftJoinLateral(newestPacket, sql`true`)
    .leftJoinLateral(open, sql`true`)
    .where(where)
    .orderBy(asc(visits.startsAt), asc(visits.id))
  const rows = await (limit === undefined ? query : query.limit(limit))
  // A visit is only booked for a triaged referral (`referrals_triaged_whole`), and `where` keeps the other states out.
  return rows.map(({ givenName, familyName, openTasks, ...row }) => ({
    ...row,
    patientName: fullName({ givenName, familyName }),
    plan: row.plan as ExamPlan | null,
    screening: row.screening as Screening | null,
    openTasks: openTasks ?? [],
  })) as StoredVisit[]
}
