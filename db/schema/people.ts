/** Clinicians, interpreters, places, and the recurring periods in which they work. */
import { sql } from 'drizzle-orm'
import {
  boolean,
  check,
  date,
  foreignKey,
  index,
  integer,
  pgEnum,
  pgTable,
  primaryKey,
  text,
  uniqueIndex,
} from 'drizzle-orm/pg-core'
import { clinics } from './clinic.ts'
import { instant } from './columns.ts'

export const sites = pgTable(
  'sites',
  {
    clinicId: text('clinic_id')
      .notNull()
      .references(() => clinics.id, { onDelete: 'restrict' }),
    id: text('id').notNull(),
    name: text('name').notNull(),
    address: text('address').notNull(),
    /** US state in which a patient seen here is located. */
    state: text('state').notNull(),
    timeZone: text('time_zone').notNull(),
    /** A site that is given up is kept: visits were there. */
    isActive: boolean('is_active').notNull().default(true),
    /** Of the site with its rooms. */
    version: integer('version').notNull().default(1),
  },
  (t) => [primaryKey({ columns: [t.clinicId, t.id] })],
)

export const rooms = pgTable(
  'rooms',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    siteId: text('site_id').notNull(),
    name: text('name').notNull(),
    isActive: boolean('is_active').notNull().default(true),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'rooms_site_fk',
      columns: [t.clinicId, t.siteId],
      foreignColumns: [sites.clinicId, sites.id],
    }).onDelete('restrict'),
  ],
)

export const clinicians = pgTable(
  'clinicians',
  {
    clinicId: text('clinic_id')
      .notNull()
      .references(() => clinics.id, { onDelete: 'restrict' }),
    id: text('id').notNull(),
    name: text('name').notNull(),
    credentials: text('credentials').notNull(),
    /** BCP 47 tags, the languages they examine in. */
    languages: text('languages').array().notNull(),
    timeZone: text('time_zone').notNull(),
    isActive: boolean('is_active').notNull().default(true),
    /** Of the clinician with their licences. */
    version: integer('version').notNull().default(1),
  },
  (t) => [primaryKey({ columns: [t.clinicId, t.id] })],
)

/** Where a clinician may examine: by the state in which the patient is at the time of the visit. */
export const licences = pgTable(
  'licences',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    clinicianId: text('clinician_id').notNull(),
    state: text('state').notNull(),
    validFrom: date('valid_from', { mode: 'string' }).notNull(),
    validTo: date('valid_to', { mode: 'string' }),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'licences_clinician_fk',
      columns: [t.clinicId, t.clinicianId],
      foreignColumns: [clinicians.clinicId, clinicians.id],
    }).onDelete('restrict'),
    check('licences_from_before_to', sql`${t.validTo} is null or ${t.validTo} >= ${t.validFrom}`),
  ],
)

export const interpreters = pgTable(
  'interpreters',
  {
    clinicId: text('clinic_id')
      .notNull()
      .references(() => clinics.id, { onDelete: 'restrict' }),
    id: text('id').notNull(),
    name: text('name').notNull(),
    languages: text('languages').array().notNull(),
    timeZone: text('time_zone').notNull(),
    isActive: boolean('is_active').notNull().default(true),
    version: integer('version').notNull().default(1),
  },
  (t) => [primaryKey({ columns: [t.clinicId, t.id] })],
)

export const sessionMode = pgEnum('session_mode', ['video', 'in_person', 'either'])
export const sessionStatus = pgEnum('session_status', ['active', 'paused', 'ended'])

/**
 * A clinic session: an RFC 5545 rule in the session's own zone. Owned by one
 * clinician or one interpreter. Changed by a new version of the row, never
 * deleted: visits were booked in it.
 */
export const clinicSessions = pgTable(
  'clinic_sessions',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    clinicianId: text('clinician_id'),
    interpreterId: text('interpreter_id'),
    mode: sessionMode('mode').notNull(),
    siteId: text('site_id'),
    roomId: text('room_id'),
    timeZone: text('time_zone').notNull(),
    startsOn: date('starts_on', { mode: 'string' }).notNull(),
    /** Wall time, HH:MM. */
    opensAt: text('opens_at').notNull(),
    durationMin: integer('duration_min').notNull(),
    /** RRULE without DTSTART; null = once. */
    rule: text('rule'),
    validTo: date('valid_to', { mode: 'string' }),
    grainMin: integer('grain_min').notNull(),
    bufferBeforeMin: integer('buffer_before_min').notNull(),
    bufferAfterMin: integer('buffer_after_min').notNull(),
    noticeMin: integer('notice_min').notNull(),
    /** Minutes at the end of each opening that are kept for urgent visits. */
    urgentMin: integer('urgent_min').notNull().default(0),
    /** So many working hours before an opening its kept minutes become free for everybody. */
    urgentReleaseHours: integer('urgent_release_hours').notNull().default(0),
    status: sessionStatus('status').notNull().default('active'),
    version: integer('version').notNull().default(1),
    createdAt: instant('created_at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'clinic_sessions_clinician_fk',
      columns: [t.clinicId, t.clinicianId],
      foreignColumns: [clinicians.clinicId, clinicians.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'clinic_sessions_interpreter_fk',
      columns: [t.clinicId, t.interpreterId],
      foreignColumns: [interpreters.clinicId, interpreters.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'clinic_sessions_site_fk',
      columns: [t.clinicId, t.siteId],
      foreignColumns: [sites.clinicId, sites.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'clinic_sessions_room_fk',
      columns: [t.clinicId, t.roomId],
      foreignColumns: [rooms.clinicId, rooms.id],
    }).onDelete('restrict'),
    check('clinic_sessions_one_owner', sql`num_nonnulls(${t.clinicianId}, ${t.interpreterId}) = 1`),
    check('clinic_sessions_in_person_has_site', sql`${t.mode} = 'video' or ${t.siteId} is not null`),
    check('clinic_sessions_duration', sql`${t.durationMin} between 5 and 1440`),
    check('clinic_sessions_grain', sql`${t.grainMin} between 5 and 240`),
    check(
      'clinic_sessions_buffers',
      sql`${t.bufferBeforeMin} between 0 and 240 and ${t.bufferAfterMin} between 0 and 240 and ${t.noticeMin} >= 0`,
    ),
    check(
      'clinic_sessions_urgent',
      sql`${t.urgentMin} between 0 and ${t.durationMin} and ${t.urgentReleaseHours} >= 0`,
    ),
    check('clinic_sessions_opens_at', sql`${t.opensAt} ~ '^([01][0-9]|2[0-3]):[0-5][0-9]$'`),
    index('clinic_sessions_clinician_idx').on(t.clinicId, t.clinicianId),
  ],
)

export const exceptionKind = pgEnum('session_exception_kind', ['closed', 'moved', 'shortened'])

export const sessionExceptions = pgTable(
  'session_exceptions',
  {
    clinicId: text('clinic_id').notNull(),
    sessionId: text('session_id').notNull(),
    onDate: date('on_date', { mode: 'string' }).notNull(),
    kind: exceptionKind('kind').notNull(),
    toDate: date('to_date', { mode: 'string' }),
    opensAt: text('opens_at'),
    durationMin: integer('duration_min'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.sessionId, t.onDate] }),
    foreignKey({
      name: 'session_exceptions_session_fk',
      columns: [t.clinicId, t.sessionId],
      foreignColumns: [clinicSessions.clinicId, clinicSessions.id],
    }).onDelete('restrict'),
    check(
      'session_exceptions_complete',
      sql`${t.kind} = 'closed' or (${t.opensAt} is not null and ${t.durationMin} is not null)`,
    ),
  ],
)

/**
 * A clinician's private calendar feed. Its address is the secret, so only the hash of the token is kept: it is shown
 * once, when it is made. Renewing ends the old one and writes a new row; a row is never deleted or brought back.
 */
export const calendarFeeds = pgTable(
  'calendar_feeds',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    clinicianId: text('clinician_id').notNull(),
    tokenHash: text('token_hash').notNull(),
    createdAt: instant('created_at').notNull(),
    createdBy: text('created_by').notNull(),
    /** Of what was last read, and since when it has been that: so that a reader who has it already is told so. */
    contentHash: text('content_hash'),
    contentChangedAt: instant('content_changed_at'),
    revokedAt: instant('revoked_at'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'calendar_feeds_clinician_fk',
      columns: [t.clinicId, t.clinicianId],
      foreignColumns: [clinicians.clinicId, clinicians.id],
    }).onDelete('restrict'),
    uniqueIndex('calendar_feeds_token_hash_key').on(t.clinicId, t.tokenHash),
    uniqueIndex('calendar_feeds_one_live').on(t.clinicId, t.clinicianId).where(sql`${t.revokedAt} is null`),
  ],
)
