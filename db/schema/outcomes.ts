/**
 * What came of a visit. Nothing in here changes once the visit is signed (triggers): what is learnt afterwards is an
 * addendum. What was predicted stays beside it: the visit's own `plan` and `assessment_id` are frozen (trigger) from the
 * moment its record is opened.
 */
import { sql } from 'drizzle-orm'
import {
  boolean,
  check,
  doublePrecision,
  foreignKey,
  index,
  integer,
  pgEnum,
  pgTable,
  primaryKey,
  text,
  uniqueIndex,
} from 'drizzle-orm/pg-core'
import {
  CHECK_ITEMS,
  CHECK_STATES,
  FINDING_KINDS,
  FOLLOW_UPS,
  REASONS,
  RESULTS,
  VISIT_OUTCOMES,
} from '#lib/domain/outcomes/vocabulary.ts'
import { instant } from './columns.ts'
import { referrals, sideEnum } from './referrals.ts'
import { visits } from './visits.ts'

export const visitOutcome = pgEnum('visit_outcome', VISIT_OUTCOMES)
export const checkItem = pgEnum('check_item', CHECK_ITEMS)
export const checkState = pgEnum('check_state', CHECK_STATES)
export const stationResult = pgEnum('station_result', RESULTS)
export const stationReason = pgEnum('station_reason', REASONS)
export const findingKind = pgEnum('finding_kind', FINDING_KINDS)
export const followUpKind = pgEnum('follow_up_kind', FOLLOW_UPS)

/** The record of one visit: opened with the first entry, locked by its signature. */
export const visitRecords = pgTable(
  'visit_records',
  {
    clinicId: text('clinic_id').notNull(),
    visitId: text('visit_id').notNull(),
    /** Null when the patient did not come. */
    beganAt: instant('began_at'),
    endedAt: instant('ended_at'),
    outcome: visitOutcome('outcome'),
    /** Somebody stopped the visit for safety. That is never taken back. */
    stoppedAt: instant('stopped_at'),
    note: text('note').notNull().default(''),
    signedBy: text('signed_by'),
    signedAt: instant('signed_at'),
    version: integer('version').notNull().default(1),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.visitId] }),
    foreignKey({
      name: 'visit_records_visit_fk',
      columns: [t.clinicId, t.visitId],
      foreignColumns: [visits.clinicId, visits.id],
    }).onDelete('restrict'),
    check(
      'visit_records_signed_whole',
      sql`num_nonnulls(${t.signedBy}, ${t.signedAt}, ${t.outcome}, ${t.endedAt}) in (0, 4)`,
    ),
    check('visit_records_began', sql`coalesce(${t.outcome} = 'no_show', false) = (${t.beganAt} is null)`),
    check('visit_records_in_order', sql`${t.beganAt} <= ${t.endedAt}`),
    check(
      'visit_records_stop_stands',
      sql`${t.outcome} is null or (${t.stoppedAt} is not null) = (${t.outcome} = 'stopped_for_safety')`,
    ),
    index('visit_records_signed_idx').on(t.clinicId, t.signedAt),
  ],
)

/** Identity, place, emergency contact and consent as they were found when the visit began. */
export const visitChecks = pgTable(
  'visit_checks',
  {
    clinicId: text('clinic_id').notNull(),
    visitId: text('visit_id').notNull(),
    item: checkItem('item').notNull(),
    state: checkState('state').notNull(),
    because: text('because'),
    recordedBy: text('recorded_by').notNull(),
    recordedAt: instant('recorded_at').notNull(),
    version: integer('version').notNull().default(1),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.visitId, t.item] }),
    foreignKey({
      name: 'visit_checks_record_fk',
      columns: [t.clinicId, t.visitId],
      foreignColumns: [visitRecords.clinicId, visitRecords.visitId],
    }).onDelete('restrict'),
    check('visit_checks_skipped_why', sql`${t.state} = 'confirmed' or ${t.because} is not null`),
  ],
)

/**
 * What came of one station on one side. After signing, everything that was planned has a row: what nobody got to is
 * `not_reached`. What was predicted to be possible in which way is therefore this table; what was predicted not to be is
 * in the assessment that the visit names.
 */
export const stationOutcomes = pgTable(
  'station_outcomes',
  {
    clinicId: text('clinic_id').notNull(),
    visitId: text('visit_id').notNull(),
    stationId: text('station_id').notNull(),
    side: sideEnum('side').notNull(),
    wayId: text('way_id').notNull(),
    /** In the way that the visit's plan named (trigger). Looked up in each visit's plan it took most of the time of a count. */
    asPlanned: boolean('as_planned').notNull().default(true),
    result: stationResult('result').notNull(),
    reason: stationReason('reason'),
    reasonText: text('reason_text'),
    recordedBy: text('recorded_by').notNull(),
    recordedAt: instant('recorded_at').notNull(),
    version: integer('version').notNull().default(1),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.visitId, t.stationId, t.side] }),
    foreignKey({
      name: 'station_outcomes_record_fk',
      columns: [t.clinicId, t.visitId],
      foreignColumns: [visitRecords.clinicId, visitRecords.visitId],
    }).onDelete('restrict'),
    check(
      'station_outcomes_why',
      sql`${t.result} in ('done', 'done_with_difficulty', 'not_reached') or ${t.reason} is not null`,
    ),
    check('station_outcomes_other_said', sql`${t.reason} <> 'other' or ${t.reasonText} is not null`),
    /** Everything that is counted of a visit lies side by side: without it, to count half a year reads all years. */
    index('station_outcomes_counted_idx')
      .on(t.clinicId, t.visitId, t.stationId, t.wayId, t.result, t.reason)
      .where(sql`${t.asPlanned}`),
  ],
)

/** What was found at one station on one side: at most one judgement, and one value a measure. */
export const findings = pgTable(
  'findings',
  {
    clinicId: text('clinic_id').notNull(),
    visitId: text('visit_id').notNull(),
    stationId: text('station_id').notNull(),
    side: sideEnum('side').notNull(),
    /** The protocol's measure; empty for the judgement. */
    measureId: text('measure_id').notNull(),
    kind: findingKind('kind').notNull(),
    value: doublePrecision('value'),
    unit: text('unit'),
    text: text('text'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.visitId, t.stationId, t.side, t.measureId] }),
    foreignKey({
      name: 'findings_outcome_fk',
      columns: [t.clinicId, t.visitId, t.stationId, t.side],
      foreignColumns: [
        stationOutcomes.clinicId,
        stationOutcomes.visitId,
        stationOutcomes.stationId,
        stationOutcomes.side,
      ],
    }).onDelete('restrict'),
    check(
      'findings_measured_whole',
      sql`(${t.kind} = 'measured') = (${t.measureId} <> '') and (${t.kind} = 'measured') = (num_nonnulls(${t.value}, ${t.unit}) = 2)`,
    ),
    check('findings_noted_said', sql`${t.kind} <> 'noted' or ${t.text} is not null`),
  ],
)

/** What is added to a signed record. Append-only, and only to a signed one (triggers). */
export const addenda = pgTable(
  'addenda',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    visitId: text('visit_id').notNull(),
    text: text('text').notNull(),
    by: text('by').notNull(),
    at: instant('at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'addenda_record_fk',
      columns: [t.clinicId, t.visitId],
      foreignColumns: [visitRecords.clinicId, visitRecords.visitId],
    }).onDelete('restrict'),
    index('addenda_visit_idx').on(t.clinicId, t.visitId, t.at),
  ],
)

/** How it goes on, decided with the signature. In person it is a referral of its own, with its own see-by time. */
export const followUps = pgTable(
  'follow_ups',
  {
    clinicId: text('clinic_id').notNull(),
    visitId: text('visit_id').notNull(),
    kind: followUpKind('kind').notNull(),
    /** What is still to be examined. */
    stations: text('stations').array().notNull(),
    seeBy: instant('see_by'),
    because: text('because'),
    /** The referral that carries it. */
    referralId: text('referral_id'),
    decidedBy: text('decided_by').notNull(),
    decidedAt: instant('decided_at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.visitId] }),
    foreignKey({
      name: 'follow_ups_record_fk',
      columns: [t.clinicId, t.visitId],
      foreignColumns: [visitRecords.clinicId, visitRecords.visitId],
    }).onDelete('restrict'),
    foreignKey({
      name: 'follow_ups_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    check(
      'follow_ups_in_person_whole',
      sql`(${t.kind} = 'in_person') = (${t.seeBy} is not null) and (${t.kind} = 'in_person') = (${t.referralId} is not null)`,
    ),
    check('follow_ups_none_why', sql`${t.kind} <> 'none' or ${t.because} is not null`),
    uniqueIndex('follow_ups_referral_key').on(t.clinicId, t.referralId),
  ],
)
