/** A patient, their referrals, and everything that is found out on the way to a visit. */
import { sql } from 'drizzle-orm'
import {
  boolean,
  check,
  date,
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
import { PRIORITIES, STAGES, TASK_KINDS } from '#lib/domain/desk/stages.ts'
import { SIDES } from '#lib/domain/protocol/schema.ts'
import { DISPOSITIONS } from '#lib/domain/screening/screening.ts'
import { clinics } from './clinic.ts'
import { instant } from './columns.ts'

export const protocolStatus = pgEnum('protocol_status', ['draft', 'signed_off', 'retired'])

/** Protocol versions. A signed-off document never changes (trigger); a change is a new version. */
export const protocols = pgTable(
  'protocols',
  {
    clinicId: text('clinic_id')
      .notNull()
      .references(() => clinics.id, { onDelete: 'restrict' }),
    id: text('id').notNull(),
    version: integer('version').notNull(),
    status: protocolStatus('status').notNull(),
    /** `protocolSchema`, checked by `loadProtocol` when read. */
    document: jsonb('document').notNull(),
    signedOffBy: text('signed_off_by'),
    signedOffAt: instant('signed_off_at'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id, t.version] }),
    check(
      'protocols_signed_off',
      sql`${t.status} = 'draft' or (${t.signedOffBy} is not null and ${t.signedOffAt} is not null)`,
    ),
  ],
)

export const patients = pgTable(
  'patients',
  {
    clinicId: text('clinic_id')
      .notNull()
      .references(() => clinics.id, { onDelete: 'restrict' }),
    id: text('id').notNull(),
    givenName: text('given_name').notNull(),
    familyName: text('family_name').notNull(),
    birthDate: date('birth_date', { mode: 'string' }),
    phone: text('phone'),
    email: text('email'),
    /** The language of everything they read. */
    language: text('language').notNull(),
    /** BCP 47 tag of the language an interpreter is needed for; null = none. */
    interpreterLanguage: text('interpreter_language'),
    addressLine: text('address_line'),
    city: text('city'),
    state: text('state'),
    postalCode: text('postal_code'),
    timeZone: text('time_zone'),
    preferredSiteId: text('preferred_site_id'),
    /** The full packet may go by e-mail only with this. */
    mayEmailDetails: boolean('may_email_details').notNull().default(false),
    version: integer('version').notNull().default(1),
    createdAt: instant('created_at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    check('patients_language', sql`${t.language} in ('en', 'es')`),
    index('patients_name_idx').on(t.clinicId, t.familyName, t.givenName),
    index('patients_birth_date_idx').on(t.clinicId, t.birthDate),
  ],
)

export const referralSource = pgEnum('referral_source', ['typed', 'csv', 'fhir', 'follow_up'])
export const referralStage = pgEnum('referral_stage', STAGES)
export const referralPriority = pgEnum('referral_priority', PRIORITIES)
export const sideEnum = pgEnum('side', SIDES)

export const referrals = pgTable(
  'referrals',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    patientId: text('patient_id').notNull(),
    source: referralSource('source').notNull(),
    externalId: text('external_id'),
    /** Hash of what makes a referral the same one again. */
    fingerprint: text('fingerprint').notNull(),
    receivedAt: instant('received_at').notNull(),
    referrerName: text('referrer_name'),
    referrerPhone: text('referrer_phone'),
    reason: text('reason').notNull(),
    icd10: text('icd10').array().notNull(),
    conditionText: text('condition_text'),
    priority: referralPriority('priority').notNull(),
    stage: referralStage('stage').notNull(),
    protocolId: text('protocol_id'),
    protocolVersion: integer('protocol_version'),
    conditionId: text('condition_id'),
    side: sideEnum('side'),
    seeBy: instant('see_by'),
    imageReceived: boolean('image_received').notNull().default(false),
    /** A red flag at emergency level stops everything until a person has acknowledged it. */
    isStopped: boolean('is_stopped').notNull().default(false),
    closedBecause: text('closed_because'),
    version: integer('version').notNull().default(1),
    createdAt: instant('created_at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'referrals_patient_fk',
      columns: [t.clinicId, t.patientId],
      foreignColumns: [patients.clinicId, patients.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'referrals_protocol_fk',
      columns: [t.clinicId, t.protocolId, t.protocolVersion],
      foreignColumns: [protocols.clinicId, protocols.id, protocols.version],
    }).onDelete('restrict'),
    uniqueIndex('referrals_fingerprint_key').on(t.clinicId, t.fingerprint),
    check(
      'referrals_triaged_whole',
      sql`${t.stage} in ('received', 'closed') or (${t.protocolId} is not null and ${t.conditionId} is not null and ${t.side} is not null and ${t.seeBy} is not null)`,
    ),
    check('referrals_closed_why', sql`(${t.stage} = 'closed') = (${t.closedBecause} is not null)`),
    index('referrals_desk_idx').on(t.clinicId, t.stage, t.seeBy),
    index('referrals_patient_idx').on(t.clinicId, t.patientId),
    index('referrals_received_idx').on(t.clinicId, t.receivedAt),
  ],
)

export const matchDecision = pgEnum('match_decision', ['same', 'different'])

/** "Is this the same person?": asked of the coordinator before anything else is done. */
export const patientMatches = pgTable(
  'patient_matches',
  {
    clinicId: text('clinic_id').notNull(),
    referralId: text('referral_id').notNull(),
    candidateId: text('candidate_id').notNull(),
    because: text('because').array().notNull(),
    decision: matchDecision('decision'),
    decidedBy: text('decided_by'),
    decidedAt: instant('decided_at'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.referralId, t.candidateId] }),
    foreignKey({
      name: 'patient_matches_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'patient_matches_candidate_fk',
      columns: [t.clinicId, t.candidateId],
      foreignColumns: [patients.clinicId, patients.id],
    }).onDelete('restrict'),
  ],
)

export const importKind = pgEnum('import_kind', ['csv', 'fhir'])

/** What one file brought in, and what it could not. */
export const imports = pgTable(
  'imports',
  {
    clinicId: text('clinic_id')
      .notNull()
      .references(() => clinics.id, { onDelete: 'restrict' }),
    id: text('id').notNull(),
    kind: importKind('kind').notNull(),
    fileName: text('file_name').notNull(),
    by: text('by').notNull(),
    at: instant('at').notNull(),
    added: integer('added').notNull(),
    known: integer('known').notNull(),
    /** `{ line, column, reason }[]` */
    faults: jsonb('faults').notNull(),
  },
  (t) => [primaryKey({ columns: [t.clinicId, t.id] })],
)

export const answerSource = pgEnum('answer_source', ['referral', 'coordinator', 'patient', 'clinician'])

/**
 * The latest answer to each question of a referral's protocol: home facts, red
 * flags and safety alike. `value` is true, false, a number or "not_sure".
 * What stood there before is in the audit table.
 */
export const answers = pgTable(
  'answers',
  {
    clinicId: text('clinic_id').notNull(),
    referralId: text('referral_id').notNull(),
    factId: text('fact_id').notNull(),
    value: jsonb('value').notNull(),
    source: answerSource('source').notNull(),
    answeredBy: text('answered_by').notNull(),
    answeredAt: instant('answered_at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.referralId, t.factId] }),
    foreignKey({
      name: 'answers_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    check('answers_value', sql`jsonb_typeof(${t.value}) in ('boolean', 'number') or ${t.value} = '"not_sure"'::jsonb`),
  ],
)

/** Where the patient will be, who to call, and when people are free. Filled in the home check. */
export const homeChecks = pgTable(
  'home_checks',
  {
    clinicId: text('clinic_id').notNull(),
    referralId: text('referral_id').notNull(),
    invitedAt: instant('invited_at'),
    startedAt: instant('started_at'),
    finishedAt: instant('finished_at'),
    placeAddress: text('place_address'),
    placeState: text('place_state'),
    timeZone: text('time_zone'),
    callbackPhone: text('callback_phone'),
    contactName: text('contact_name'),
    contactPhone: text('contact_phone'),
    helperName: text('helper_name'),
    /** Weekly windows `{ weekday, from, to }[]` in `timeZone`; empty = any time. */
    patientWindows: jsonb('patient_windows').notNull().default([]),
    helperWindows: jsonb('helper_windows').notNull().default([]),
    /** Set once the question was answered, even with "any time". */
    timesAnsweredAt: instant('times_answered_at'),
    consentedAt: instant('consented_at'),
    version: integer('version').notNull().default(1),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.referralId] }),
    foreignKey({
      name: 'home_checks_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
  ],
)

/** A personal link. Only its hash is kept; it opens nothing without the date of birth. */
export const patientLinks = pgTable(
  'patient_links',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    referralId: text('referral_id').notNull(),
    tokenHash: text('token_hash').notNull(),
    createdAt: instant('created_at').notNull(),
    expiresAt: instant('expires_at').notNull(),
    revokedAt: instant('revoked_at'),
    failedTries: integer('failed_tries').notNull().default(0),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'patient_links_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    uniqueIndex('patient_links_token_hash_key').on(t.clinicId, t.tokenHash),
  ],
)

/** A phone on which a link was opened with the right date of birth. */
export const patientSessions = pgTable(
  'patient_sessions',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    linkId: text('link_id').notNull(),
    tokenHash: text('token_hash').notNull(),
    createdAt: instant('created_at').notNull(),
    lastSeenAt: instant('last_seen_at').notNull(),
    endedAt: instant('ended_at'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'patient_sessions_link_fk',
      columns: [t.clinicId, t.linkId],
      foreignColumns: [patientLinks.clinicId, patientLinks.id],
    }).onDelete('restrict'),
    uniqueIndex('patient_sessions_token_hash_key').on(t.clinicId, t.tokenHash),
  ],
)

export const dispositionEnum = pgEnum('disposition', DISPOSITIONS)

/** Each screening that was made, for ever: the engine's own answer and, beside it, a person's. Append-only (trigger). */
export const assessments = pgTable(
  'assessments',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    referralId: text('referral_id').notNull(),
    at: instant('at').notNull(),
    /** The engine's answer. */
    disposition: dispositionEnum('disposition').notNull(),
    /** `Screening` */
    screening: jsonb('screening').notNull(),
    /** `ExamPlan`; null when nothing is to be done by video. */
    plan: jsonb('plan'),
    /** A person's answer, with their reason. */
    overruledTo: dispositionEnum('overruled_to'),
    overruledBecause: text('overruled_because'),
    overruledBy: text('overruled_by'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'assessments_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    check(
      'assessments_overruled_whole',
      sql`num_nonnulls(${t.overruledTo}, ${t.overruledBecause}, ${t.overruledBy}) in (0, 3)`,
    ),
    index('assessments_referral_idx').on(t.clinicId, t.referralId, t.at),
  ],
)

export const taskKind = pgEnum('task_kind', TASK_KINDS)

/** Something a person has to do. `dedupeKey` keeps one open task for one cause. */
export const tasks = pgTable(
  'tasks',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    referralId: text('referral_id').notNull(),
    kind: taskKind('kind').notNull(),
    dedupeKey: text('dedupe_key').notNull(),
    /** Ids and codes only; the words are made when it is shown. */
    detail: jsonb('detail').notNull(),
    openedAt: instant('opened_at').notNull(),
    dueAt: instant('due_at'),
    doneAt: instant('done_at'),
    doneBy: text('done_by'),
    doneNote: text('done_note'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'tasks_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    uniqueIndex('tasks_open_key').on(t.clinicId, t.referralId, t.dedupeKey).where(sql`${t.doneAt} is null`),
  ],
)
