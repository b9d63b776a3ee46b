/** Figures that can't be known afterwards, so they are kept while they are true; and what the lead said of a suggestion. */
import { sql } from 'drizzle-orm'
import { check, date, foreignKey, index, integer, pgEnum, pgTable, primaryKey, text, unique } from 'drizzle-orm/pg-core'
import { ITEM_STATES } from '#lib/domain/readiness/items.ts'
import { clinics } from './clinic.ts'
import { instant } from './columns.ts'
import { stationReason, stationResult } from './outcomes.ts'
import { clinicians } from './people.ts'
import { protocols } from './referrals.ts'
import { readinessItem, visitMode, visits } from './visits.ts'

export const itemState = pgEnum('item_state', ITEM_STATES)

/**
 * How ready a visit was 24 hours before it started: written by the worker when that hour has come, and never changed
 * (append-only). A visit that was moved has one for each start. `takenAt` says how late it was written: what was booked, or
 * written down, later than an hour after that hour is not counted as "24 hours before".
 */
export const readinessKept = pgTable(
  'readiness_kept',
  {
    clinicId: text('clinic_id').notNull(),
    visitId: text('visit_id').notNull(),
    forStartsAt: instant('for_starts_at').notNull(),
    takenAt: instant('taken_at').notNull(),
    /** The worst of the visit's items. */
    worst: itemState('worst').notNull(),
    /** What was neither done nor unneeded. */
    openItems: readinessItem('open_items').array().notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.visitId, t.forStartsAt] }),
    foreignKey({
      name: 'readiness_kept_visit_fk',
      columns: [t.clinicId, t.visitId],
      foreignColumns: [visits.clinicId, visits.id],
    }).onDelete('restrict'),
    check('readiness_kept_before_start', sql`${t.takenAt} < ${t.forStartsAt}`),
  ],
)

/** The third next available start of each clinician and mode, once a day at about the same time (append-only, by the worker). */
export const waitsKept = pgTable(
  'waits_kept',
  {
    clinicId: text('clinic_id')
      .notNull()
      .references(() => clinics.id, { onDelete: 'restrict' }),
    /** The clinic's own date. */
    onDate: date('on_date', { mode: 'string' }).notNull(),
    clinicianId: text('clinician_id').notNull(),
    mode: visitMode('mode').notNull(),
    takenAt: instant('taken_at').notNull(),
    /** As long as a start was counted. */
    minutes: integer('minutes').notNull(),
    /** Null = fewer than three starts were open within `horizonDays`. */
    days: integer('days'),
    horizonDays: integer('horizon_days').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.onDate, t.clinicianId, t.mode] }),
    foreignKey({
      name: 'waits_kept_clinician_fk',
      columns: [t.clinicId, t.clinicianId],
      foreignColumns: [clinicians.clinicId, clinicians.id],
    }).onDelete('restrict'),
    check('waits_kept_days', sql`${t.days} between 0 and ${t.horizonDays} + 1`),
  ],
)

/**
 * The clinic's own days whose tries stand in `day_tries`. Written by the worker, a day at a time, by the function that counts;
 * taken back, with what was counted, by whatever changes what is counted of that day (triggers).
 */
export const countedDays = pgTable(
  'counted_days',
  { clinicId: text('clinic_id').notNull(), onDate: date('on_date', { mode: 'string' }).notNull() },
  (t) => [primaryKey({ columns: [t.clinicId, t.onDate] })],
)

/** What `countTries` would count of one day, everybody's. Years of single tries took longer to count than a page may take. */
export const dayTries = pgTable(
  'day_tries',
  {
    clinicId: text('clinic_id').notNull(),
    onDate: date('on_date', { mode: 'string' }).notNull(),
    protocolId: text('protocol_id'),
    protocolVersion: integer('protocol_version'),
    stationId: text('station_id').notNull(),
    wayId: text('way_id').notNull(),
    result: stationResult('result').notNull(),
    reason: stationReason('reason'),
    n: integer('n').notNull(),
  },
  (t) => [
    foreignKey({
      name: 'day_tries_day_fk',
      columns: [t.clinicId, t.onDate],
      foreignColumns: [countedDays.clinicId, countedDays.onDate],
    }).onDelete('cascade'),
    unique('day_tries_once')
      .on(t.clinicId, t.onDate, t.protocolId, t.protocolVersion, t.stationId, t.wayId, t.result, t.reason)
      .nullsNotDistinct(),
    check('day_tries_some', sql`${t.n} > 0`),
  ],
)

/** The clinic lead's word on a way of doing a station that is done less often than expected (append-only). It changes nothing by itself. */
export const wayReviews = pgTable(
  'way_reviews',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    protocolId: text('protocol_id').notNull(),
    protocolVersion: integer('protocol_version').notNull(),
    stationId: text('station_id').notNull(),
    wayId: text('way_id').notNull(),
    /** What was counted when it was said. */
    done: integer('done').notNull(),
    of: integer('of').notNull(),
    because: text('because').notNull(),
    by: text('by').notNull(),
    at: instant('at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'way_reviews_protocol_fk',
      columns: [t.clinicId, t.protocolId, t.protocolVersion],
      foreignColumns: [protocols.clinicId, protocols.id, protocols.version],
    }).onDelete('restrict'),
    check('way_reviews_counted', sql`${t.done} between 0 and ${t.of}`),
    check('way_reviews_because', sql`length(btrim(${t.because})) > 0`),
    index('way_reviews_way_idx').on(t.clinicId, t.protocolId, t.protocolVersion, t.stationId, t.wayId),
  ],
)
