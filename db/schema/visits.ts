/** Claims on time, what is prepared for them, and what is sent about them. */
import { sql } from 'drizzle-orm'
import {
  boolean,
  check,
  foreignKey,
  index,
  integer,
  jsonb,
  pgEnum,
  pgTable,
  primaryKey,
  text,
  uniqueIndex,
} from 'drizzle-orm/pg-core'
import { MESSAGE_KINDS } from '#lib/domain/messages/kinds.ts'
import { READINESS_ITEMS } from '#lib/domain/readiness/items.ts'
import { instant } from './columns.ts'
import { clinicians, clinicSessions, interpreters, rooms } from './people.ts'
import { patients, referrals } from './referrals.ts'

export const visitMode = pgEnum('visit_mode', ['video', 'in_person'])
export const visitStatus = pgEnum('visit_status', ['held', 'booked', 'lapsed', 'cancelled', 'done', 'no_show'])

/**
 * A claim on a start: held for a few minutes, then booked; a move changes the booked row in place. Migration 0001 adds
 * the exclusion constraints: no two live rows of one clinician (buffers
 * included), patient, interpreter or room overlap. A hold that ran out is set
 * to 'lapsed' by whoever next wants that time, in the same transaction.
 */
export const visits = pgTable(
  'visits',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    referralId: text('referral_id').notNull(),
    patientId: text('patient_id').notNull(),
    clinicianId: text('clinician_id').notNull(),
    sessionId: text('session_id').notNull(),
    interpreterId: text('interpreter_id'),
    roomId: text('room_id'),
    mode: visitMode('mode').notNull(),
    status: visitStatus('status').notNull(),
    startsAt: instant('starts_at').notNull(),
    endsAt: instant('ends_at').notNull(),
    /** The clinician's time, buffers included. */
    busyFrom: instant('busy_from').notNull(),
    busyTo: instant('busy_to').notNull(),
    holdExpiresAt: instant('hold_expires_at'),
    heldBy: text('held_by'),
    /** Held for somebody of the standby list while they make up their mind: not a hold of their own choosing. */
    isOffer: boolean('is_offer').notNull().default(false),
    /** `ExamPlan`; null in person. */
    plan: jsonb('plan'),
    assessmentId: text('assessment_id'),
    /** Zone in which the patient reads the time. */
    patientTimeZone: text('patient_time_zone').notNull(),
    placeState: text('place_state'),
    /** RFC 5545: stable over moves. */
    calendarUid: text('calendar_uid').notNull(),
    /** RFC 5546: rises with each change. */
    calendarSequence: integer('calendar_sequence').notNull().default(0),
    /** `RelaxationKind[]`: the conditions set aside without which this start could not have been had, and why. */
    released: text('released').array().notNull().default(sql`'{}'::text[]`),
    releasedBecause: text('released_because'),
    cancelledBecause: text('cancelled_because'),
    version: integer('version').notNull().default(1),
    createdAt: instant('created_at').notNull(),
    changedAt: instant('changed_at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'visits_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'visits_patient_fk',
      columns: [t.clinicId, t.patientId],
      foreignColumns: [patients.clinicId, patients.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'visits_clinician_fk',
      columns: [t.clinicId, t.clinicianId],
      foreignColumns: [clinicians.clinicId, clinicians.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'visits_session_fk',
      columns: [t.clinicId, t.sessionId],
      foreignColumns: [clinicSessions.clinicId, clinicSessions.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'visits_interpreter_fk',
      columns: [t.clinicId, t.interpreterId],
      foreignColumns: [interpreters.clinicId, interpreters.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'visits_room_fk',
      columns: [t.clinicId, t.roomId],
      foreignColumns: [rooms.clinicId, rooms.id],
    }).onDelete('restrict'),
    check('visits_starts_before_ends', sql`${t.startsAt} < ${t.endsAt}`),
    check('visits_busy_covers', sql`${t.busyFrom} <= ${t.startsAt} and ${t.endsAt} <= ${t.busyTo}`),
    check(
      'visits_held_expires',
      sql`${t.status} <> 'held' or (${t.holdExpiresAt} is not null and ${t.heldBy} is not null)`,
    ),
    /** A see-by time, or time that is kept for urgent visits, is never given up without a word. */
    check(
      'visits_released_why',
      sql`not (${t.released} && array['after_see_by', 'urgent_starts']) or ${t.releasedBecause} is not null`,
    ),
    check('visits_in_person_has_room', sql`${t.mode} = 'video' or ${t.roomId} is not null`),
    /** One booked visit of a mode: a second one is a move. Both modes only for an early video look beside a visit in person. */
    uniqueIndex('visits_one_booked').on(t.clinicId, t.referralId, t.mode).where(sql`${t.status} = 'booked'`),
    /** One start that the patient keeps, and beside it one that the clinic offers. */
    uniqueIndex('visits_one_held').on(t.clinicId, t.referralId, t.isOffer).where(sql`${t.status} = 'held'`),
    index('visits_starts_idx').on(t.clinicId, t.startsAt),
    index('visits_referral_idx').on(t.clinicId, t.referralId),
    index('visits_clinician_idx').on(t.clinicId, t.clinicianId, t.startsAt),
  ],
)

/**
 * What a clinician decided about the exam: which stations are added or left out, and in which way one is done. Each row is
 * the whole of it, and the newest of a referral counts, also after a new screening; none is ever changed (append-only).
 */
export const planChoices = pgTable(
  'plan_choices',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    referralId: text('referral_id').notNull(),
    /** `Choices`: the way of each station decided about, null = left out. */
    choices: jsonb('choices').notNull(),
    because: text('because').notNull(),
    by: text('by').notNull(),
    at: instant('at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'plan_choices_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    check('plan_choices_because', sql`length(btrim(${t.because})) > 0`),
    index('plan_choices_referral_idx').on(t.clinicId, t.referralId, t.at),
  ],
)

/** Each revision of a visit's packet, for ever (append-only). */
export const packets = pgTable(
  'packets',
  {
    clinicId: text('clinic_id').notNull(),
    visitId: text('visit_id').notNull(),
    revision: integer('revision').notNull(),
    at: instant('at').notNull(),
    /** `Packet` */
    content: jsonb('content').notNull(),
    /** What changed since the revision before: codes, for `words`. */
    changes: jsonb('changes').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.visitId, t.revision] }),
    foreignKey({
      name: 'packets_visit_fk',
      columns: [t.clinicId, t.visitId],
      foreignColumns: [visits.clinicId, visits.id],
    }).onDelete('restrict'),
  ],
)

export const readinessItem = pgEnum('readiness_item', READINESS_ITEMS)
export const markState = pgEnum('mark_state', ['confirmed', 'withdrawn'])

/** What a person has said of a readiness item. The latest row of an item counts; none is ever changed (append-only). */
export const readinessMarks = pgTable(
  'readiness_marks',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    visitId: text('visit_id').notNull(),
    item: readinessItem('item').notNull(),
    state: markState('state').notNull(),
    /** Start of the visit when it was said: what was confirmed for another start does not count. */
    forStartsAt: instant('for_starts_at').notNull(),
    by: text('by').notNull(),
    byKind: text('by_kind').notNull(),
    at: instant('at').notNull(),
    note: text('note'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'readiness_marks_visit_fk',
      columns: [t.clinicId, t.visitId],
      foreignColumns: [visits.clinicId, visits.id],
    }).onDelete('restrict'),
    index('readiness_marks_visit_idx').on(t.clinicId, t.visitId, t.at),
  ],
)

/** What a patient's camera rehearsals found: numbers and advice, never a picture. Each try is kept. */
export const rehearsals = pgTable(
  'rehearsals',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    referralId: text('referral_id').notNull(),
    at: instant('at').notNull(),
    /** `Readings` */
    readings: jsonb('readings').notNull(),
    /** `Advice[]`; none = a good picture. */
    advice: text('advice').array().notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'rehearsals_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    index('rehearsals_referral_idx').on(t.clinicId, t.referralId, t.at),
  ],
)

export const messageKind = pgEnum('message_kind', MESSAGE_KINDS)
export const messageStatus = pgEnum('message_status', ['queued', 'sent', 'failed', 'dropped'])

/**
 * One message to one patient, written in the transaction that causes it; the
 * queue only carries its id. `dedupeKey` holds everything that makes it unique,
 * with the visit's start, so that a moved visit gets new reminders.
 */
export const messages = pgTable(
  'messages',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    referralId: text('referral_id').notNull(),
    visitId: text('visit_id'),
    kind: messageKind('kind').notNull(),
    dedupeKey: text('dedupe_key').notNull(),
    dueAt: instant('due_at').notNull(),
    status: messageStatus('status').notNull(),
    sentAt: instant('sent_at'),
    /** Reply code or word of the last fault; never an address or a text. */
    fault: text('fault'),
    attempts: integer('attempts').notNull().default(0),
    createdAt: instant('created_at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'messages_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    uniqueIndex('messages_dedupe_key').on(t.clinicId, t.dedupeKey),
    index('messages_visit_idx').on(t.clinicId, t.visitId),
    index('messages_referral_idx').on(t.clinicId, t.referralId),
  ],
)
