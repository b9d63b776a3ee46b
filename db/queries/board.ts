/** Visits with everything that decides whether they are ready, in one query. */
import {
  and,
  asc,
  desc,
  eq,
  gt,
  gte,
  inArray,
  isNull,
  lt,
  lte,
  notLike,
  type Placeholder,
  type SQL,
  sql,
} from 'drizzle-orm'
import { invariant } from '#lib/base/invariant.ts'
import { fullName } from '#lib/base/plain-text.ts'
import type { Temporal } from '#lib/base/time.ts'
import type { TaskKind } from '#lib/domain/desk/stages.ts'
import type { ExamPlan } from '#lib/domain/plan/exam-plan.ts'
import type {
  BriefPlan,
  ClosingScreening,
  DayVisit,
  StoredVisit,
  VisitDetails,
} from '#lib/domain/readiness/board-visit.ts'
import type { Disposition, Opener, Screening, StationScreening } from '#lib/domain/screening/screening.ts'
import type { Db } from '../client.ts'
import { isAmong, prepared } from '../prepared.ts'
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

/** Visits of a clinic that start in [from, to), by start, with what they are judged by. */
export async function listDay(
  db: Db,
  clinicId: string,
  from: Temporal.Instant,
  to: Temporal.Instant,
): Promise<DayVisit[]> {
  const rows = await selectDay(db, { clinicId, from: from.toString(), to: to.toString() })
  return rows.map(({ interpreterId, plan, ...row }) => ({
    ...row,
    ...triaged(row),
    hasInterpreter: interpreterId !== null,
    plan: plan && {
      steps: plan.stationIds.map((stationId, n) => ({ stationId, wayId: plan.wayIds[n] ?? '' })),
      helperWindow: plan.helperWindow,
    },
  }))
}

/** Of a whole plan, which is many times this. */
type StoredBrief = { stationIds: string[]; wayIds: string[]; helperWindow: BriefPlan['helperWindow'] }

const selectDay = prepared('visits_of_day', (db) => {
  const newestPacket = newestPacketOf(db)
  return db
    .select({
      ...judgedColumns,
      interpreterId: visits.interpreterId,
      plan: sql<StoredBrief | null>`case when ${visits.plan} is not null then jsonb_build_object(
        'stationIds', jsonb_path_query_array(${visits.plan}, '$.steps[*].stationId'),
        'wayIds', jsonb_path_query_array(${visits.plan}, '$.steps[*].wayId'),
        'helperWindow', ${visits.plan} -> 'helperWindow') end`,
      packetAt: newestPacket.at,
      hasOpenTask: sql<boolean>`exists (select 1 from ${tasks} t where t.clinic_id = ${visits.clinicId}
        and t.referral_id = ${visits.referralId} and t.done_at is null)`.as('has_open_task'),
    })
    .from(
      cutOut(
        db,
        and(
          eq(visits.clinicId, sql.placeholder('clinicId')),
          startsWithin(sql.placeholder('from'), sql.placeholder('to')),
        ),
      ),
    )
    .innerJoin(referrals, of.referral)
    .innerJoin(patients, of.patient)
    .innerJoin(clinicians, of.clinician)
    .leftJoin(rooms, of.room)
    .leftJoin(sites, of.site)
    .leftJoin(homeChecks, of.homeCheck)
    .leftJoinLateral(newestPacket, sql`true`)
    .orderBy(asc(visits.startsAt), asc(visits.id))
})

/** What else the board says of these visits, as they are by now. */
export async function listDetails(
  db: Db,
  clinicId: string,
  visitIds: readonly string[],
): Promise<Map<string, VisitDetails>> {
  if (visitIds.length === 0) return new Map()
  const rows = await selectDetails(db, { clinicId, visitIds })
  return new Map(rows.map((row) => [row.visitId, detailsOf(row)]))
}

const selectDetails = prepared('details_of_visits', (db) => {
  const newestPacket = newestPacketOf(db)
  const open = openTasksOf(db)
  return db
    .select({ ...detailColumns, packetRevision: newestPacket.revision, openTasks: open.kinds })
    .from(cutOut(db, and(eq(visits.clinicId, sql.placeholder('clinicId')), isAmong(visits.id, 'visitIds'))))
    .innerJoin(referrals, of.referral)
    .innerJoin(patients, of.patient)
    .leftJoin(interpreters, of.interpreter)
    .leftJoin(rooms, of.room)
    .leftJoin(sites, of.site)
    .leftJoin(homeChecks, of.homeCheck)
    .leftJoin(assessments, of.assessment)
    .leftJoinLateral(newestPacket, sql`true`)
    .leftJoinLateral(open, sql`true`)
})

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

function startsWithin(from: Temporal.Instant | Placeholder, to: Temporal.Instant | Placeholder) {
  return and(gte(visits.startsAt, from), lt(visits.startsAt, to), standsOnBoard)
}

const standsOnBoard = inArray(visits.status, ['booked', 'done', 'no_show'])

/** What closes stations of these visits, out of the screenings they were planned from. */
export async function listClosing(
  db: Db,
  clinicId: string,
  visitIds: readonly string[],
): Promise<Map<string, ClosingScreening>> {
  if (visitIds.length === 0) return new Map()
  const rows = await selectClosing(db, { clinicId, visitIds })
  return new Map(rows.map(({ visitId, ...closing }) => [visitId, closing]))
}

const selectClosing = prepared('closing_of_visits', (db) => {
  const { screening } = assessments
  return db
    .select({
      visitId: visits.id,
      disposition: sql<Disposition>`${screening} ->> 'disposition'`,
      stations: sql<StationScreening[]>`jsonb_path_query_array(${screening}, '$.stations[*] ? (@.can != "yes")')`,
      openers: sql<Opener[]>`${screening} -> 'openers'`,
    })
    .from(visits)
    .innerJoin(assessments, of.assessment)
    .where(and(eq(visits.clinicId, sql.placeholder('clinicId')), isAmong(visits.id, 'visitIds')))
})

export type LastChange = { action: string; at: Temporal.Instant; by: string; byKind: string }

/** The last deed on each referral, by whom. Mail that goes out by itself is none. */
export async function listLastChanges(
  db: Db,
  clinicId: string,
  referralIds: readonly string[],
): Promise<Map<string, LastChange>> {
  if (referralIds.length === 0) return new Map()
  const rows = await selectLastChanges(db, { clinicId, referralIds })
  return new Map(rows.map(({ referralId, ...change }) => [referralId, change]))
}

const selectLastChanges = prepared('last_changes_of_referrals', (db) =>
  db
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
        eq(auditEvents.clinicId, sql.placeholder('clinicId')),
        isAmong(auditEvents.referralId, 'referralIds'),
        notLike(auditEvents.action, 'message.%'),
      ),
    )
    .orderBy(auditEvents.referralId, desc(auditEvents.at), desc(auditEvents.id)),
)

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
    limit,
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

/**
 * These visits, by start, called like the table, which they stand for in all that is joined to them. The limit keeps the
 * planner from joining before they are cut out: among many visits it took that for cheaper, and read them all.
 */
function cutOut(db: Db, where: SQL | undefined, limit = MORE_THAN_THERE_ARE) {
  return db.select().from(visits).where(where).orderBy(asc(visits.startsAt), asc(visits.id)).limit(limit).as('visits')
}

const MORE_THAN_THERE_ARE = 2 ** 31 - 1

/** What belongs to a visit, beside which it is read. */
const of = {
  referral: and(eq(referrals.clinicId, visits.clinicId), eq(referrals.id, visits.referralId)),
  patient: and(eq(patients.clinicId, visits.clinicId), eq(patients.id, visits.patientId)),
  clinician: and(eq(clinicians.clinicId, visits.clinicId), eq(clinicians.id, visits.clinicianId)),
  interpreter: and(eq(interpreters.clinicId, visits.clinicId), eq(interpreters.id, visits.interpreterId)),
  room: and(eq(rooms.clinicId, visits.clinicId), eq(rooms.id, visits.roomId)),
  site: and(eq(sites.clinicId, rooms.clinicId), eq(sites.id, rooms.siteId)),
  homeCheck: and(eq(homeChecks.clinicId, visits.clinicId), eq(homeChecks.referralId, visits.referralId)),
  assessment: and(eq(assessments.clinicId, visits.clinicId), eq(assessments.id, visits.assessmentId)),
}

function newestPacketOf(db: Db) {
  return db
    .select({ revision: packets.revision, at: packets.at })
    .from(packets)
    .where(and(eq(packets.clinicId, visits.clinicId), eq(packets.visitId, visits.id)))
    .orderBy(desc(packets.revision))
    .limit(1)
    .as('newest_packet')
}

/** By video the patient's place decides, in person the site's; on the visit's own day there. */
const hasLicence = sql<boolean>`exists (
  select 1 from licences l
  where l.clinic_id = ${visits.clinicId} and l.clinician_id = ${visits.clinicianId}
    and l.state = case when ${visits.mode} = 'in_person' then ${sites.state} else coalesce(${homeChecks.placeState}, ${visits.placeState}) end
    and (${visits.startsAt} at time zone ${visits.patientTimeZone})::date between l.valid_from and coalesce(l.valid_to, 'infinity'::date)
)`.as('has_licence')

/** A visit is only booked for a triaged referral (`referrals_triaged_whole`). */
function triaged({ protocolId, protocolVersion, conditionId }: Nullable<Triaged>): Triaged {
  const isWhole = protocolId !== null && protocolVersion !== null && conditionId !== null
  invariant(isWhole, 'a referral with a visit is triaged')
  return { protocolId, protocolVersion, conditionId }
}
type Triaged = Pick<DayVisit, 'protocolId' | 'protocolVersion' | 'conditionId'>
type Nullable<T> = { [Key in keyof T]: T[Key] | null }

function openTasksOf(db: Db) {
  return db
    .select({ kinds: sql<TaskKind[] | null>`array_agg(${tasks.kind}::text)`.as('kinds') })
    .from(tasks)
    .where(and(eq(tasks.clinicId, visits.clinicId), eq(tasks.referralId, visits.referralId), isNull(tasks.doneAt)))
    .as('open')
}

const judgedColumns = {
  visitId: visits.id,
  referralId: visits.referralId,
  mode: visits.mode,
  startsAt: visits.startsAt,
  bookedAt: visits.createdAt,
  interpreterLanguage: patients.interpreterLanguage,
  clinicianId: visits.clinicianId,
  clinicianName: clinicians.name,
  clinicianLanguages: clinicians.languages,
  protocolId: referrals.protocolId,
  protocolVersion: referrals.protocolVersion,
  conditionId: referrals.conditionId,
  imageReceived: referrals.imageReceived,
  placeAddress: homeChecks.placeAddress,
  placeState: homeChecks.placeState,
  callbackPhone: homeChecks.callbackPhone,
  contactPhone: homeChecks.contactPhone,
  homeCheckInvitedAt: homeChecks.invitedAt,
  homeCheckFinishedAt: homeChecks.finishedAt,
  consentedAt: homeChecks.consentedAt,
  hasLicence,
}

const detailColumns = {
  visitId: visits.id,
  status: visits.status,
  endsAt: visits.endsAt,
  changedAt: visits.changedAt,
  version: visits.version,
  patientTimeZone: visits.patientTimeZone,
  givenName: patients.givenName,
  familyName: patients.familyName,
  patientPhone: patients.phone,
  sessionId: visits.sessionId,
  interpreterName: interpreters.name,
  roomName: rooms.name,
  siteName: sites.name,
  side: referrals.side,
  overruledTo: assessments.overruledTo,
  contactName: homeChecks.contactName,
  helperName: homeChecks.helperName,
}

type DetailsRow = Nullable<Pick<StoredVisit, 'side' | 'openTasks'>> & {
  status: (typeof visits.$inferSelect)['status']
  givenName: string
  familyName: string
}

/** As they are shown. Neither a hold nor one that lapsed is ever asked for here. */
function detailsOf<Row extends DetailsRow>({ givenName, familyName, openTasks, status, side, ...row }: Row) {
  invariant(status !== 'held' && status !== 'lapsed', 'a hold is not shown')
  invariant(side !== null, 'a referral with a visit is triaged')
  return { ...row, status, side, patientName: fullName({ givenName, familyName }), openTasks: openTasks ?? [] }
}

async function select(db: Db, where: SQL | undefined, limit?: number): Promise<StoredVisit[]> {
  const newestPacket = newestPacketOf(db)
  const open = openTasksOf(db)
  const rows = await db
    .select({
      ...judgedColumns,
      ...detailColumns,
      plan: visits.plan,
      screening: assessments.screening,
      packetRevision: newestPacket.revision,
      packetAt: newestPacket.at,
      openTasks: open.kinds,
    })
    .from(cutOut(db, where, limit))
    .innerJoin(referrals, of.referral)
    .innerJoin(patients, of.patient)
    .innerJoin(clinicians, of.clinician)
    .leftJoin(interpreters, of.interpreter)
    .leftJoin(rooms, of.room)
    .leftJoin(sites, of.site)
    .leftJoin(homeChecks, of.homeCheck)
    .leftJoin(assessments, of.assessment)
    .leftJoinLateral(newestPacket, sql`true`)
    .leftJoinLateral(open, sql`true`)
    .orderBy(asc(visits.startsAt), asc(visits.id))
  return rows.map((row) => ({
    ...detailsOf(row),
    ...triaged(row),
    plan: row.plan as ExamPlan | null,
    screening: row.screening as Screening | null,
  }))
}
