/** What was done, by whom; and which commands were already carried out. */
import { foreignKey, index, jsonb, pgTable, primaryKey, text } from 'drizzle-orm/pg-core'
import { clinics } from './clinic.ts'
import { instant } from './columns.ts'

/** Append-only: a trigger refuses update, delete and truncate. Written in the transaction of the deed itself. */
export const auditEvents = pgTable(
  'audit_events',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    at: instant('at').notNull(),
    actorKind: text('actor_kind').notNull(),
    actorId: text('actor_id').notNull(),
    action: text('action').notNull(),
    subject: text('subject').notNull(),
    /** The referral it belongs to, so that one referral's history is one query. */
    referralId: text('referral_id'),
    before: jsonb('before'),
    after: jsonb('after'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({ name: 'audit_events_clinic_fk', columns: [t.clinicId], foreignColumns: [clinics.id] }).onDelete(
      'restrict',
    ),
    index('audit_events_referral_idx').on(t.clinicId, t.referralId, t.at),
  ],
)

/** A command that was carried out, with what it answered: repeating it with the same key answers the same and does nothing. */
export const commands = pgTable(
  'commands',
  {
    clinicId: text('clinic_id').notNull(),
    key: text('key').notNull(),
    kind: text('kind').notNull(),
    /** Whose command it was: another actor with the same key is refused, not answered. */
    actorId: text('actor_id').notNull(),
    answer: jsonb('answer').notNull(),
    at: instant('at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.key] }),
    foreignKey({ name: 'commands_clinic_fk', columns: [t.clinicId], foreignColumns: [clinics.id] }).onDelete(
      'restrict',
    ),
  ],
)
