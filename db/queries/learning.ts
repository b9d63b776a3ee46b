/**
 * What happened, counted: one statement a table, aggregated in the database over one clinic's visits of a period. Every one
 * begins at an index of (clinic, instant), so that it reads the period and not the years before.
 */
import { and, eq, type SQL, sql } from 'drizzle-orm'
import { Temporal } from '#lib/base/time.ts'
import { LEAD_EDGES } from '#lib/domain/learning/bands.ts'
import type { DaysSpread } from '#lib/domain/learning/report.ts'
import type { WayReview } from '#lib/domain/learning/suggestions.ts'
import type { TryCount } from '#lib/domain/learning/tries.ts'
import type { ItemState, ReadinessItem } from '#lib/domain/readiness/items.ts'
import type { Disposition } from '#lib/domain/screening/screening.ts'
import { type Db, rawRows } from '../client.ts'
import { staff, wayReviews } from '../schema/index.ts'

export type LearningScope = {
  clinicId: string
  /** Both begin a day of the clinic's own. */
  from: Temporal.Instant
  to: Temporal.Instant
  /** The clinic's zone: months and weeks begin in it. */
  timeZone: string
  clinicianId: string | null
  conditionId: string | null
}

/** Visits `v` of the period that somebody was due at: they took place, or nobody came. */
const DUE = sql`v.status in ('done', 'no_show')`

function visitsOf({ clinicId, from, to, clinicianId, conditionId }: LearningScope): SQL {
  return sql`v.clinic_id = ${clinicId} and v.starts_at >= ${from.toString()}::timestamptz
    and v.starts_at < ${to.toString()}::timestamptz
    ${clinicianId === null ? sql`` : sql`and v.clinician_id = ${clinicianId}`}
    ${
      conditionId === null
        ? sql``
        : sql`and exists (select 1 from referrals c where c.clinic_id = v.clinic_id and c.id = v.referral_id
            and c.condition_id = ${conditionId})`
    }`
}

export type VisitTotals = { done: number; missed: number }

export async function countVisits(db: Db, scope: LearningScope): Promise<VisitTotals> {
  const [row] = await rawRows<VisitTotals>(
    db,
    sql`select count(*) filter (where v.status = 'done')::int as done,
        count(*) filter (where v.status = 'no_show')::int as missed
      from visits v where ${visitsOf(scope)} and ${DUE}`,
  )
  return row ?? { done: 0, missed: 0 }
}

/**
 * Station tries by what they came to; the same may stand there twice. Counted once for every question about them, because the
 * tries of half a year are many times as many as its visits. Everybody's come from the days that were counted when they were
 * over (`day_tries`), and only the other days are counted now: a run of them at a time, so that each is looked for by its time.
 */
export async function countTries(db: Db, scope: LearningScope): Promise<TryCount[]> {
  if (scope.clinicianId !== null || scope.conditionId !== null) return countTriesNow(db, scope)
  const { clinicId, from, to, timeZone } = scope
  const dateOf = (at: Temporal.Instant) => sql`(${at.toString()}::timestamptz at time zone ${timeZone})::date`
  // Both in one statement: a day that is taken back in between would be counted twice, or not at all. Put in order after they
  // are summed: asked to sum in order, a statement that is planned for any period sorts them all first.
  const [{ kept, open } = { kept: [], open: [] }] = await rawRows<{
    kept: TryCount[]
    open: { from: string; to: string }[]
  }>(
    db,
    sql`select (
        select coalesce(json_agg(tries order by "stationId", "wayId", "protocolVersion", result, reason), '[]') from (
          select protocol_id as "protocolId", protocol_version as "protocolVersion", station_id as "stationId",
            way_id as "wayId", result, reason, sum(n)::int as n
          from day_tries where clinic_id = ${clinicId} and on_date >= ${dateOf(from)} and on_date < ${dateOf(to)}
          group by 1, 2, 3, 4, 5, 6) tries
      ) as kept, (
        select coalesce(json_agg(runs), '[]') from (
          select min(day) at time zone ${timeZone} as "from", (max(day) + interval '1 day') at time zone ${timeZone} as "to"
          from (select day, day - row_number() over (order by day) * interval '1 day' as run
            from generate_series(${dateOf(from)}::timestamp, ${dateOf(to)} - interval '1 day', interval '1 day') day
            where not exists (
              select from counted_days c where c.clinic_id = ${clinicId} and c.on_date = day::date)) days
          group by run order by 1) runs
      ) as open`,
  )
  const now = await Promise.all(
    open.map((run) =>
      countTriesNow(db, { ...scope, from: Temporal.Instant.from(run.from), to: Temporal.Instant.from(run.to) }),
    ),
  )
  return [...kept, ...now.flat()]
}

/** Of signed records: what was planned, because screening said it was possible, and what came of it. */
function countTriesNow(db: Db, scope: LearningScope): Promise<TryCount[]> {
  return rawRows<TryCount>(
    db,
    sql`select r.protocol_id as "protocolId", r.protocol_version as "protocolVersion", o.station_id as "stationId",
        o.way_id as "wayId", o.result, o.reason, count(*)::int as n
      from visits v
      join visit_records rec on rec.clinic_id = v.clinic_id and rec.visit_id = v.id and rec.signed_at is not null
      join referrals r on r.clinic_id = v.clinic_id and r.id = v.referral_id
      join station_outcomes o on o.clinic_id = v.clinic_id and o.visit_id = v.id and o.as_planned
      where ${visitsOf(scope)} and v.status = 'done'
      group by 1, 2, 3, 4, 5, 6 order by 3, 4, 2, 5, 6`,
  )
}

/** Every word of the clinic's leads on a way. */
export async function listWayReviews(db: Db, clinicId: string): Promise<WayReview[]> {
  const rows = await db
    .select({
      protocolId: wayReviews.protocolId,
      protocolVersion: wayReviews.protocolVersion,
      stationId: wayReviews.stationId,
      wayId: wayReviews.wayId,
      done: wayReviews.done,
      of: wayReviews.of,
      because: wayReviews.because,
      by: sql<string>`coalesce(${staff.name}, ${wayReviews.by})`,
      at: wayReviews.at,
    })
    .from(wayReviews)
    .leftJoin(staff, and(eq(staff.clinicId, wayReviews.clinicId), eq(staff.id, wayReviews.by)))
    .where(eq(wayReviews.clinicId, clinicId))
  return rows.map((row) => ({ ...row, at: row.at.toString() }))
}

export async function insertWayReview(tx: Db, review: typeof wayReviews.$inferInsert): Promise<void> {
  await tx.insert(wayReviews).values(review)
}

export type MissedLine = { by: 'band' | 'mode' | 'month' | 'all'; key: string; missed: number; due: number }

/** Missed visits by how long ahead they were booked, by mode and by month, in one reading. */
export async function countMissed(db: Db, scope: LearningScope): Promise<MissedLine[]> {
  const edges = sql.raw(`array[${LEAD_EDGES.join(',')}]::float8[]`)
  return rawRows<MissedLine>(
    db,
    sql`with due as (
        select width_bucket(extract(epoch from v.starts_at - v.created_at)::float8 / 86400, ${edges})::text as band,
          v.mode::text as mode, to_char(v.starts_at at time zone ${scope.timeZone}, 'YYYY-MM') as month,
          (v.status = 'no_show')::int as missed
        from visits v where ${visitsOf(scope)} and ${DUE})
      select case grouping(band, mode, month) when 3 then 'band' when 5 then 'mode' when 6 then 'month' else 'all' end as by,
        coalesce(band, mode, month, '') as key, coalesce(sum(missed), 0)::int as missed, count(*)::int as due
      from due group by grouping sets ((band), (mode), (month), ()) order by 1, 2`,
  )
}

export type DispositionLine = {
  disposition: Disposition
  mode: 'video' | 'in_person'
  booked: number
  /** Took place, to whichever end. */
  done: number
  leftEarly: number
  technicalFailure: number
  stoppedForSafety: number
  missed: number
  cancelled: number
  /** Of those done: the patient was, or is to be, seen in person afterwards. */
  followed: number
  /** Of those cancelled: an in-person visit was booked instead. */
  replaced: number
}

/** What became of visits, by what the screening they were booked from decided (a person's word before the engine's). */
export async function countDispositions(db: Db, scope: LearningScope): Promise<DispositionLine[]> {
  return rawRows<DispositionLine>(
    db,
    sql`select coalesce(a.overruled_to, a.disposition)::text as disposition, v.mode::text as mode,
        count(*)::int as booked,
        count(*) filter (where v.status = 'done')::int as done,
        count(*) filter (where rec.outcome = 'left_early')::int as "leftEarly",
        count(*) filter (where rec.outcome = 'technical_failure')::int as "technicalFailure",
        count(*) filter (where rec.outcome = 'stopped_for_safety')::int as "stoppedForSafety",
        count(*) filter (where v.status = 'no_show')::int as missed,
        count(*) filter (where v.status = 'cancelled')::int as cancelled,
        count(*) filter (where v.status = 'done' and later.is_there)::int as followed,
        count(*) filter (where v.status = 'cancelled' and later.is_there)::int as replaced
      from visits v
      join assessments a on a.clinic_id = v.clinic_id and a.id = v.assessment_id
      left join visit_records rec on rec.clinic_id = v.clinic_id and rec.visit_id = v.id
      cross join lateral (select v.mode = 'video' and (exists (
        select 1 from follow_ups f where f.clinic_id = v.clinic_id and f.visit_id = v.id and f.kind = 'in_person'
      ) or exists (
        select 1 from visits w where w.clinic_id = v.clinic_id and w.referral_id = v.referral_id and w.id <> v.id
          and w.mode = 'in_person' and w.status in ('booked', 'done', 'no_show') and w.created_at >= v.created_at
      )) as is_there) later
      where ${visitsOf(scope)} and v.status in ('done', 'no_show', 'cancelled')
      group by 1, 2 order by 1, 2`,
  )
}

export type ReadinessLine = { worst: ItemState; item: ReadinessItem | null; done: number; due: number }

/**
 * Video visits by how ready they were 24 hours before, and by each item that was open then (`item`). Only what was written
 * down within the hour counts; the rest was booked or moved later than that, or nobody was there to write.
 */
export async function countReadiness(db: Db, scope: LearningScope): Promise<ReadinessLine[]> {
  return rawRows<ReadinessLine>(
    db,
    sql`with due as (
        select v.id, (v.status = 'done')::int as done, k.worst, k.open_items
        from visits v
        join readiness_kept k on k.clinic_id = v.clinic_id and k.visit_id = v.id and k.for_starts_at = v.starts_at
          and k.taken_at <= v.starts_at - interval '23 hours'
        where ${visitsOf(scope)} and ${DUE} and v.mode = 'video')
      select worst::text as worst, null as item, sum(done)::int as done, count(*)::int as due from due group by 1
      union all
      select 'late', i.item::text, sum(done)::int, count(*)::int from due cross join unnest(open_items) as i(item) group by 2
      order by 2, 1`,
  )
}

/** Video visits that were due in the period, whether or not it is known how ready they were. */
export async function countDueByVideo(db: Db, scope: LearningScope): Promise<number> {
  const [row] = await rawRows<{ n: number }>(
    db,
    sql`select count(*)::int as n from visits v where ${visitsOf(scope)} and ${DUE} and v.mode = 'video'`,
  )
  return row?.n ?? 0
}

export type DaysLine = { priority: string | null; decision: DaysSpread; visit: DaysSpread }

/**
 * From the referral to the first screening that decided something, and to the first visit that took place, of the referrals
 * that came in during the period; closed ones that were never seen are nobody's wait. With a clinician: theirs alone.
 */
export async function spreadDays(db: Db, scope: LearningScope): Promise<DaysLine[]> {
  const { clinicId, from, to, clinicianId, conditionId } = scope
  const spread = (name: 'decided' | 'seen') => {
    const days = sql.raw(name)
    const at = (part: number) =>
      sql`round((percentile_cont(${sql.raw(String(part))}) within group (order by ${days}))::numeric, 1)::float8`
    return sql`json_build_object('of', count(${days}), 'pending', count(*) filter (where ${days} is null and not is_over),
      'quarter', ${at(0.25)}, 'median', ${at(0.5)}, 'threeQuarters', ${at(0.75)}, 'nineTenths', ${at(0.9)})`
  }
  return rawRows<DaysLine>(
    db,
    sql`with came as (
        select r.priority::text as priority, r.stage = 'closed' as is_over,
          extract(epoch from d.at - r.received_at)::float8 / 86400 as decided,
          extract(epoch from s.starts_at - r.received_at)::float8 / 86400 as seen
        from referrals r
        left join lateral (
          select min(a.at) as at from assessments a where a.clinic_id = r.clinic_id and a.referral_id = r.id
            and coalesce(a.overruled_to, a.disposition) <> 'ask_again') d on true
        left join lateral (
          select v.starts_at, v.clinician_id from visits v where v.clinic_id = r.clinic_id and v.referral_id = r.id
            and v.status = 'done' order by v.starts_at limit 1) s on true
        where r.clinic_id = ${clinicId} and r.received_at >= ${from.toString()}::timestamptz
          and r.received_at < ${to.toString()}::timestamptz
          ${conditionId === null ? sql`` : sql`and r.condition_id = ${conditionId}`}
          ${clinicianId === null ? sql`` : sql`and s.clinician_id = ${clinicianId}`})
      select priority, ${spread('decided')} as decision, ${spread('seen')} as visit
      from came group by grouping sets ((priority), ()) order by priority nulls first`,
  )
}

export type WaitWeek = { week: string; mode: 'video' | 'in_person'; days: number; horizonDays: number }

/**
 * The middle of all days and clinicians of a week. Fewer than three open starts count as a day beyond the horizon: leaving
 * them out would make the longest waits vanish.
 */
export async function listWaitWeeks(
  db: Db,
  scope: LearningScope,
  days: { from: string; to: string },
): Promise<WaitWeek[]> {
  return rawRows<WaitWeek>(
    db,
    sql`select to_char(date_trunc('week', on_date), 'YYYY-MM-DD') as week, mode::text as mode,
        percentile_disc(0.5) within group (order by coalesce(days, horizon_days + 1))::int as days,
        max(horizon_days)::int as "horizonDays"
      from waits_kept
      where clinic_id = ${scope.clinicId} and on_date between ${days.from}::date and ${days.to}::date
        ${scope.clinicianId === null ? sql`` : sql`and clinician_id = ${scope.clinicianId}`}
      group by 1, 2 order by 1, 2`,
  )
}

export type ReminderLine = { fate: 'sent' | 'failed' | 'none'; missed: number; due: number }

/** Missed visits by whether the day-before reminder of that very start went out. */
export async function countReminded(db: Db, scope: LearningScope): Promise<ReminderLine[]> {
  return rawRows<ReminderLine>(
    db,
    sql`select coalesce(m.fate, 'none') as fate, count(*) filter (where v.status = 'no_show')::int as missed,
        count(*)::int as due
      from visits v
      left join lateral (
        select case when bool_or(m.status = 'sent') then 'sent' when bool_or(m.status = 'failed') then 'failed' end as fate
        from messages m where m.clinic_id = v.clinic_id and m.visit_id = v.id and m.kind = 'day_before'
          and m.due_at between v.starts_at - interval '3 days' and v.starts_at) m on true
      where ${visitsOf(scope)} and ${DUE}
      group by 1 order by 1`,
  )
}

export type AskedLine = { reminders: number; before: number; after: number }

/**
 * Of the mails that say what is still missing: of how many visits did somebody confirm something in the two days before it
 * went out, and in the two days after.
 */
export async function countAnswersToReminders(db: Db, scope: LearningScope): Promise<AskedLine> {
  const confirmed = (from: SQL, to: SQL) => sql`count(*) filter (where exists (
      select 1 from readiness_marks k where k.clinic_id = v.clinic_id and k.visit_id = v.id and k.state = 'confirmed'
        and k.at >= ${from} and k.at < ${to}))::int`
  const [row] = await rawRows<AskedLine>(
    db,
    sql`select count(*)::int as reminders,
        ${confirmed(sql`m.sent_at - interval '48 hours'`, sql`m.sent_at`)} as before,
        ${confirmed(sql`m.sent_at`, sql`m.sent_at + interval '48 hours'`)} as after
      from visits v
      join messages m on m.clinic_id = v.clinic_id and m.visit_id = v.id and m.kind = 'still_missing' and m.status = 'sent'
      where ${visitsOf(scope)} and v.status in ('done', 'no_show', 'cancelled')`,
  )
  return row ?? { reminders: 0, before: 0, after: 0 }
}
