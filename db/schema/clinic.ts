/** A clinic and its own rules. One installation serves one or many; nothing of one is ever read by another. */

import { sql } from 'drizzle-orm'
import {
  boolean,
  check,
  date,
  foreignKey,
  integer,
  jsonb,
  pgEnum,
  pgTable,
  primaryKey,
  text,
  unique,
} from 'drizzle-orm/pg-core'
import { ROLES } from '#lib/domain/access/actor.ts'
import { instant } from './columns.ts'

export const clinics = pgTable(
  'clinics',
  {
    id: text('id').primaryKey(),
    /** In addresses that patients see, so that a link says which clinic it belongs to. */
    slug: text('slug').notNull().unique('clinics_slug_key'),
    name: text('name').notNull(),
    timeZone: text('time_zone').notNull(),
    phone: text('phone').notNull(),
    emergencyNumber: text('emergency_number').notNull(),
    /** `clinicPolicySchema`, parsed when read. */
    policy: jsonb('policy').notNull(),
    createdAt: instant('created_at').notNull(),
  },
  (t) => [check('clinics_slug_shape', sql`${t.slug} ~ '^[a-z0-9-]{2,40}$'`)],
)

export const holidays = pgTable(
  'holidays',
  {
    clinicId: text('clinic_id')
      .notNull()
      .references(() => clinics.id, { onDelete: 'restrict' }),
    onDate: date('on_date', { mode: 'string' }).notNull(),
    name: text('name').notNull(),
  },
  (t) => [primaryKey({ columns: [t.clinicId, t.onDate] })],
)

export const staffRole = pgEnum('staff_role', ROLES)

/** People who sign in. A clinician's sign-in points at their clinician row. */
export const staff = pgTable(
  'staff',
  {
    clinicId: text('clinic_id')
      .notNull()
      .references(() => clinics.id, { onDelete: 'restrict' }),
    id: text('id').notNull(),
    /** Stored in lower case; the sign-in lowers what is typed. */
    email: text('email').notNull(),
    name: text('name').notNull(),
    role: staffRole('role').notNull(),
    /** argon2id, PHC string. Null = signs in by OIDC only. */
    passwordHash: text('password_hash'),
    clinicianId: text('clinician_id'),
    isActive: boolean('is_active').notNull().default(true),
    /** A sign-in that the demo seed made. Production refuses to start while one is active. */
    isDemo: boolean('is_demo').notNull().default(false),
    createdAt: instant('created_at').notNull(),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    unique('staff_email_key').on(t.clinicId, t.email),
    check('staff_email_lower', sql`${t.email} = lower(${t.email})`),
  ],
)

/** A signed-in browser. The cookie only names it; idle and absolute limits are decided here, so sign-out holds everywhere. */
export const staffSessions = pgTable(
  'staff_sessions',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    staffId: text('staff_id').notNull(),
    createdAt: instant('created_at').notNull(),
    lastSeenAt: instant('last_seen_at').notNull(),
    endedAt: instant('ended_at'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'staff_sessions_staff_fk',
      columns: [t.clinicId, t.staffId],
      foreignColumns: [staff.clinicId, staff.id],
    }).onDelete('restrict'),
  ],
)

/**
 * Fixed-window counters for sign-in and links, shared by every process.
 * Keyed by clinic where one is known, else by the installation ('-').
 */
export const rateCounters = pgTable(
  'rate_counters',
  {
    clinicId: text('clinic_id').notNull(),
    bucket: text('bucket').notNull(),
    windowStartsAt: instant('window_starts_at').notNull(),
    count: integer('count').notNull(),
  },
  (t) => [primaryKey({ columns: [t.clinicId, t.bucket, t.windowStartsAt] })],
)
