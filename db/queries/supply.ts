/**
 * What can matter to one search: the sessions that may open in a range, who owns them, and what is taken in it. One
 * statement, whatever the size of the clinic, and it answers with one JSON document: a big clinic's visits as rows would
 * take longer to read than to find. A hold that ran out is not read, so it blocks nobody.
 */
import { and, eq, getTableColumns, type SQL, sql } from 'drizzle-orm'
import { invariant } from '#lib/base/invariant.ts'
import { Temporal } from '#lib/base/time.ts'
import type { ClinicSession, SessionException } from '#lib/domain/calendar/session.ts'
import type { Busy, Resource, Supply, VisitMode } from '#lib/domain/calendar/supply.ts'
import type { Db } from '../client.ts'
import { preparedSql } from '../prepared.ts'
import { clinicians, clinicSessions, sessionExceptions, sites } from '../schema/index.ts'

export type SupplyRange = {
  from: Temporal.Instant
  to: Temporal.Instant
  now: Temporal.Instant
  /** Whose other visits must not overlap. */
  patientId: string
  /** Its own claims stand in nobody's way: a new one takes their place. */
  referralId: string
  /** Only this clinician's sessions; null = everybody's. */
  clinicianId: string | null
  /** Leaves out sessions that could not serve: of another mode or site, or without a licence for the state. */
  only?: { mode: VisitMode; state: string | null; siteId: string | null }
  /** How far past its start a visit that is looked for may take somebody, buffers included; a day unless it says less. */
  reachMin?: number
  /** Whether rooms, and what is taken of them, are read; they are unless it says not. */
  rooms?: boolean
  /** The language to interpret (BCP 47), null when nobody has to; without it every interpreter is read. */
  interpreting?: string | null
}

export type NamedSupply = Omit<Supply, 'clinicians' | 'interpreters' | 'sites' | 'rooms'> & {
  clinicians: readonly { id: string; name: string; credentials: string; languages: readonly string[] }[]
  interpreters: readonly { id: string; name: string; languages: readonly string[] }[]
  sites: readonly { id: string; name: string; address: string; state: string; timeZone: string }[]
  rooms: readonly { id: string; siteId: string; name: string }[]
}

type Taken = [id: string, start: number, end: number]
type Row = Record<string, unknown>
type Document = Omit<NamedSupply, 'sessions' | 'busy'> & {
  sessions: { row: Row; exceptions: Row[] }[]
  taken: Partial<Record<Resource, Taken[]>>
}

/** The sites where visits are, in the order in which they are offered where nobody prefers one. */
export async function listActiveSites(db: Db, clinicId: string) {
  return db
    .select({ id: sites.id, name: sites.name, state: sites.state })
    .from(sites)
    .where(and(eq(sites.clinicId, clinicId), eq(sites.isActive, true)))
    .orderBy(sites.id)
}

/** The clinicians who see patients, by name. */
export async function listActiveClinicians(db: Db, clinicId: string) {
  return db
    .select({ id: clinicians.id, name: clinicians.name })
    .from(clinicians)
    .where(and(eq(clinicians.clinicId, clinicId), eq(clinicians.isActive, true)))
    .orderBy(clinicians.name, clinicians.id)
}

/** Loads the supply of one clinic for starts in a range, with the names that people read. */
export async function loadSupply(db: Db, clinicId: string, range: SupplyRange): Promise<NamedSupply> {
  const [row] = await queryFor(shapeOf(range))(db, valuesOf(clinicId, range))
  invariant(row, 'one document is read')
  const { sessions, taken, ...supply } = row.supply
  return {
    ...supply,
    sessions: sessions.map((each) =>
      sessionOf(
        fieldsOf(clinicSessions, each.row),
        each.exceptions.map((exception) => fieldsOf(sessionExceptions, exception)),
      ),
    ),
    busy: busyOf(taken),
  }
}

/** What a search asks for, apart from the values: each shape is a query of its own. */
type Shape = {
  ofOne: boolean
  rooms: boolean
  interpreting: 'nobody' | 'anybody' | 'language'
  only: 'video' | 'in_person' | 'at_site' | null
}

function shapeOf({ clinicianId, rooms, interpreting, only }: SupplyRange): Shape {
  return {
    ofOne: clinicianId !== null,
    rooms: rooms !== false,
    interpreting: interpreting === undefined ? 'anybody' : interpreting === null ? 'nobody' : 'language',
    only: only ? (only.mode === 'in_person' && only.siteId !== null ? 'at_site' : only.mode) : null,
  }
}

const queries = new Map<string, ReturnType<typeof preparedSql<{ supply: Document }>>>()

function queryFor(shape: Shape) {
  const name = `supply ${Object.values(shape).join(' ')}`
  const query = queries.get(name) ?? preparedSql<{ supply: Document }>(name, supplyQuery(shape))
  queries.set(name, query)
  return query
}

function valuesOf(clinicId: string, range: SupplyRange): Record<string, unknown> {
  const { from, to, now, clinicianId, patientId, referralId, interpreting, only, reachMin = 24 * 60 } = range
  // Hours until kept starts come free are counted from now on, however far ahead the range lies.
  const since = Temporal.Instant.compare(now, from) < 0 ? now : from
  return {
    clinicId,
    clinicianId,
    patientId,
    referralId,
    interpreting: interpreting ?? null,
    mode: only?.mode ?? null,
    state: only?.state ?? null,
    siteId: only?.siteId ?? null,
    // A day more on each side: the range is instants, dates are wall dates somewhere.
    first: dateOf(from.subtract({ hours: 48 })),
    last: dateOf(to.add({ hours: 48 })),
    firstHoliday: dateOf(since.subtract({ hours: 48 })),
    now: now.toString(),
    startsFrom: from.subtract({ hours: 24 }).toString(),
    startsTo: to.add({ minutes: reachMin }).toString(),
    // A buffer, at most four hours long, may reach back before the range.
    busyFrom: from.subtract({ hours: 4 }).toString(),
  }
}

const { placeholder } = sql

function supplyQuery({ ofOne, rooms, interpreting, only }: Shape): SQL {
  const clinicId = placeholder('clinicId')
  const first = sql`${placeholder('first')}::date`
  const last = sql`${placeholder('last')}::date`
  const firstHoliday = sql`${placeholder('firstHoliday')}::date`
  const all = (rows: SQL) => sql`coalesce((select json_agg(t) from (${rows}) t), '[]'::json)`
  const primary = (tag: SQL) => sql`lower(split_part(${tag}, '-', 1))`

  const speaks = (languages: SQL) => sql`exists (
    select from unnest(${languages}) l where ${primary(sql`l`)} = ${primary(sql`${placeholder('interpreting')}::text`)})`
  const serves = only
    ? sql`s.mode in ('either', ${placeholder('mode')}) ${
        only === 'at_site' ? sql`and s.site_id = ${placeholder('siteId')}` : sql``
      } ${interpreting !== 'language' ? sql`` : sql`and (exists (select from able) or ${speaks(sql`(select languages from clinicians where clinic_id = s.clinic_id and id = s.clinician_id)`)})`}
      and exists (
        select from licences l where l.clinic_id = s.clinic_id and l.clinician_id = s.clinician_id
          and l.valid_from <= ${last} and (l.valid_to is null or l.valid_to >= ${first})
          and l.state = ${
            only === 'video'
              ? placeholder('state')
              : sql`(select state from sites where clinic_id = s.clinic_id and id = s.site_id)`
          })`
    : sql`true`
  const ofClinician = sql`s.clinician_id ${ofOne ? sql`= ${placeholder('clinicianId')}` : sql`is not null`} and ${serves}`
  const ofInterpreter = sql`s.interpreter_id in (select id from able)`
  const able = sql`
    select i.id, i.name, i.languages from interpreters i
    where i.clinic_id = ${clinicId} and i.is_active and ${interpreting === 'anybody' ? sql`true` : speaks(sql`i.languages`)}`

  return sql`
    with able as materialized (${interpreting === 'nobody' ? sql`select null as id where false` : able}),
    open as materialized (
      select s.* from clinic_sessions s
      where s.clinic_id = ${clinicId} and s.status = 'active' and s.starts_on <= ${last}
        and (s.valid_to is null or s.valid_to >= ${first} or exists (
          select from session_exceptions e
          where e.clinic_id = s.clinic_id and e.session_id = s.id and e.to_date >= ${first}))
        and (${ofClinician}${interpreting === 'nobody' ? sql`` : sql` or ${ofInterpreter}`})
    )
    select json_build_object(
      'sessions', ${all(sql`
        select to_json(open) as row, ${all(sql`
          select e.* from session_exceptions e
          where e.clinic_id = open.clinic_id and e.session_id = open.id
            and (e.on_date between ${first} and ${last} or e.to_date between ${first} and ${last})`)} as exceptions
        from open`)},
      'clinicians', ${all(sql`
        select c.id, c.name, c.credentials, c.languages from clinicians c
        where c.clinic_id = ${clinicId} and c.is_active and c.id in (select clinician_id from open)
        order by c.name, c.id`)},
      'interpreters', ${interpreting === 'nobody' ? sql`'[]'::json` : all(sql`select * from able order by id`)},
      'licences', ${all(sql`
        select l.clinician_id as "clinicianId", l.state, l.valid_from as "validFrom", l.valid_to as "validTo"
        from licences l
        where l.clinic_id = ${clinicId} and l.clinician_id in (select clinician_id from open)
          and l.valid_from <= ${last} and (l.valid_to is null or l.valid_to >= ${first})`)},
      'sites', ${all(sql`
        select id, name, address, state, time_zone as "timeZone" from sites
        where clinic_id = ${clinicId} and is_active order by id`)},
      'rooms', ${
        rooms
          ? all(sql`
        select id, site_id as "siteId", name from rooms where clinic_id = ${clinicId} and is_active order by id`)
          : sql`'[]'::json`
      },
      'holidays', coalesce((
        select json_agg(on_date) from holidays
        where clinic_id = ${clinicId} and on_date between ${firstHoliday} and ${last}), '[]'::json),
      'taken', ${takenQuery({ ofOne, rooms, interpreting })}
    ) as supply`
}

/** Visits are at most a day long, so those that touch the range start at most a day before it. */
function takenQuery({ ofOne, rooms, interpreting }: Omit<Shape, 'only'>): SQL {
  const clinicId = placeholder('clinicId')
  const stretches = (id: SQL, from: SQL, to: SQL, whose: SQL) => {
    const ms = (column: SQL) => sql`date_part('epoch', ${column}) * 1000`
    return sql`(
      select json_agg(json_build_array(${id}, ${ms(from)}, ${ms(to)})) from visits v
      where v.clinic_id = ${clinicId} and ${whose}
        and v.starts_at >= ${placeholder('startsFrom')}::timestamptz
        and v.starts_at < ${placeholder('startsTo')}::timestamptz
        and v.busy_to > ${placeholder('busyFrom')}::timestamptz
        and (v.status in ('booked', 'done', 'no_show')
          or v.status = 'held' and v.hold_expires_at > ${placeholder('now')}::timestamptz)
        and (v.referral_id <> ${placeholder('referralId')} or v.status in ('done', 'no_show') or v.is_offer))`
  }
  const during = (id: SQL, whose: SQL) => stretches(id, sql`v.starts_at`, sql`v.ends_at`, whose)
  const roomsMatter = sql`v.room_id in (
    select id from rooms where clinic_id = ${clinicId} and site_id in (select site_id from open))`
  const isTheirs = ofOne ? sql`= ${placeholder('clinicianId')}` : sql`in (select clinician_id from open)`
  return sql`json_build_object(
    'clinician', ${stretches(sql`v.clinician_id`, sql`v.busy_from`, sql`v.busy_to`, sql`v.clinician_id ${isTheirs}`)},
    'patient', ${during(
      sql`v.patient_id`,
      // As a list, so that the few visits of the few referrals are read, and not whatever is taken in the range.
      sql`not v.is_offer and v.referral_id = any(array(
        select id from referrals where clinic_id = ${clinicId} and patient_id = ${placeholder('patientId')}))`,
    )},
    'room', ${rooms ? during(sql`v.room_id`, roomsMatter) : sql`null`},
    'interpreter', ${
      interpreting === 'nobody'
        ? sql`null`
        : during(sql`v.interpreter_id`, sql`v.interpreter_id in (select id from able)`)
    })`
}

function busyOf(taken: Document['taken']): Busy[] {
  return Object.entries(taken).flatMap(([resource, stretches]) =>
    (stretches ?? []).map(([id, start, end]): Busy => ({ resource: resource as Resource, id, start, end })),
  )
}

/** A session as the calendar reads it. */
export function sessionOf(
  row: typeof clinicSessions.$inferSelect,
  exceptions: readonly (typeof sessionExceptions.$inferSelect)[],
): ClinicSession {
  const { clinicId: _, clinicianId, interpreterId, status: __, version: ___, createdAt: ____, ...session } = row
  return {
    ...session,
    owner:
      clinicianId === null ? { kind: 'interpreter', id: interpreterId ?? '' } : { kind: 'clinician', id: clinicianId },
    exceptions: exceptions.flatMap(exceptionOf),
  }
}

/** The table's check keeps the times of whatever is not closed. */
function exceptionOf(row: typeof sessionExceptions.$inferSelect): SessionException[] {
  const { kind, onDate, opensAt, durationMin } = row
  if (kind === 'closed' || opensAt === null || durationMin === null) return [{ kind: 'closed', onDate }]
  if (kind === 'shortened') return [{ kind, onDate, opensAt, durationMin }]
  return [{ kind, onDate, toDate: row.toDate ?? onDate, opensAt, durationMin }]
}

/** A row that came as JSON, by the names that code uses. Instants stay text: none is read of these tables. */
function fieldsOf<T extends typeof clinicSessions | typeof sessionExceptions>(table: T, row: Row): T['$inferSelect'] {
  return Object.fromEntries(
    Object.entries(getTableColumns(table)).map(([field, column]) => [field, row[column.name]]),
  ) as T['$inferSelect']
}

function dateOf(at: Temporal.Instant): string {
  return at.toZonedDateTimeISO('UTC').toPlainDate().toString()
}
