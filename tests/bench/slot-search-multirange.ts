/**
 * The second rival of the bench `slot-search`: one SQL query a demand. The openings lie expanded in a table, which spares
 * it the rules; what is free is opening minus `range_agg` of what is taken, and a start is good when its time is contained.
 */
import { sql } from 'drizzle-orm'
import { type Db, rawRows } from '#db/client.ts'
import type { Demand } from '#lib/domain/calendar/demand.ts'
import type { PreparedSupply, Supply } from '#lib/domain/calendar/supply.ts'

/** Writes openings, taken time and licences of the clinic into tables of their own, with the indexes the query wants. */
export async function fillTables(db: Db, supply: Supply, prepared: PreparedSupply): Promise<void> {
  await db.execute(sql`create extension if not exists btree_gist`)
  await db.execute(sql`create table bench_openings (clinician text, session text, opens float8, closes float8,
    grain float8, notice float8, after float8)`)
  await db.execute(sql`create table bench_taken (clinician text, during tstzrange)`)
  await db.execute(sql`create table bench_licences (clinician text, state text, valid_from date, valid_to date)`)
  const openings = [...prepared.sessions.values()]
    .filter(({ session }) => session.mode !== 'in_person')
    .flatMap(({ session, openings: list }) =>
      list.map(({ start, end }) => [
        session.owner.id,
        session.id,
        start / 1000,
        end / 1000,
        session.grainMin * 60,
        session.noticeMin * 60,
        session.bufferAfterMin * 60,
      ]),
    )
  for (const rows of chunksOf(openings)) {
    await db.execute(sql`insert into bench_openings select o ->> 0, o ->> 1, (o ->> 2)::float8, (o ->> 3)::float8,
      (o ->> 4)::float8, (o ->> 5)::float8, (o ->> 6)::float8 from json_array_elements(${JSON.stringify(rows)}::json) o`)
  }
  const taken = supply.busy.filter(({ resource }) => resource === 'clinician')
  for (const rows of chunksOf(taken.map(({ id, start, end }) => [id, start / 1000, end / 1000]))) {
    await db.execute(sql`insert into bench_taken
      select t ->> 0, tstzrange(to_timestamp((t ->> 1)::float8), to_timestamp((t ->> 2)::float8))
      from json_array_elements(${JSON.stringify(rows)}::json) t`)
  }
  const held = supply.licences.map(({ clinicianId, state, validFrom, validTo }) => [
    clinicianId,
    state,
    validFrom,
    validTo,
  ])
  await db.execute(sql`insert into bench_licences select l ->> 0, l ->> 1, (l ->> 2)::date, (l ->> 3)::date
    from json_array_elements(${JSON.stringify(held)}::json) l`)
  await db.execute(sql`create index on bench_openings (opens)`)
  await db.execute(sql`create index on bench_taken using gist (clinician, during)`)
  await db.execute(sql`create index on bench_licences (state, clinician)`)
  await db.execute('analyze')
}

/** The starts of a video demand without helper or interpreter, ranked as ours. Epoch milliseconds. */
export async function startsBySql(db: Db, demand: Demand, to: number): Promise<number[]> {
  const end = Math.min(to, demand.now + demand.horizonDays * 86_400_000, (demand.seeBy ?? Number.POSITIVE_INFINITY) + 1)
  const seconds = demand.minutes * 60
  const zone = demand.patientTimeZone
  const wish = demand.clinician
  const part = demand.dayPart
  const rows = await rawRows<{ at: number }>(
    db,
    sql`
    with open as (
      select o.*, tstzrange(to_timestamp(o.opens), to_timestamp(o.closes + o.after)) as whole
      from bench_openings o
      where o.opens < ${end / 1000}::float8 and o.closes > ${demand.now / 1000}::float8
        and (${wish?.only !== true} or o.clinician = ${wish?.clinicianId ?? ''})
        and exists (select from bench_licences l where l.clinician = o.clinician and l.state = ${demand.placeState}::text)),
    free as (
      select open.*, tstzmultirange(whole) - coalesce(
        (select range_agg(t.during) from bench_taken t where t.clinician = open.clinician and t.during && open.whole),
        '{}'::tstzmultirange) as free
      from open),
    starts as (
      select f.session, f.clinician, s.at, to_timestamp(s.at) at time zone ${zone} as there, f.free, f.after
      from free f, lateral (select f.opens + n * f.grain as at
        from generate_series(0, floor((f.closes - ${seconds}::float8 - f.opens) / f.grain)::int) n) s
      where s.at >= ${demand.now / 1000}::float8 + f.notice and s.at < ${end / 1000}::float8)
    select s.at * 1000 as at from starts s
    where tstzrange(to_timestamp(s.at), to_timestamp(s.at + ${seconds}::float8 + s.after)) <@ s.free
      and exists (select from bench_licences l where l.clinician = s.clinician and l.state = ${demand.placeState}::text
        and l.valid_from <= s.there::date and (l.valid_to is null or s.there::date <= l.valid_to))
      and (${demand.patientWindows.length === 0} or exists (
        select from json_array_elements(${JSON.stringify(demand.patientWindows)}::json) w
        where (w ->> 'weekday')::int = extract(isodow from s.there) and (w ->> 'from')::time <= s.there::time
          and (s.there + make_interval(secs => ${seconds}::float8))::time <= (w ->> 'to')::time))
    order by (s.clinician = ${wish?.clinicianId ?? ''}) desc, s.there::date,
      (s.there::time >= ${part?.from ?? '24:00'}::time and s.there::time < ${part?.to ?? '24:00'}::time) desc,
      s.at, s.session collate "C"
    limit ${demand.limit}::int`,
  )
  return rows.map(({ at }) => Number(at))
}

function* chunksOf<T>(rows: readonly T[]): Generator<T[]> {
  for (let at = 0; at < rows.length; at += 20_000) yield rows.slice(at, at + 20_000)
}
