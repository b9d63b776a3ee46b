/** Who would come sooner if a start came free, and what they were offered. */
import { sql } from 'drizzle-orm'
import { check, foreignKey, index, integer, pgEnum, pgTable, primaryKey, text, uniqueIndex } from 'drizzle-orm/pg-core'
import { OFFER_OUTCOMES, STANDBY_ENDS } from '#lib/domain/standby/standby.ts'
import { instant } from './columns.ts'
import { clinicians } from './people.ts'
import { referrals } from './referrals.ts'
import { visits } from './visits.ts'

export const standbyEnd = pgEnum('standby_end', STANDBY_ENDS)

/** A place on the standby list. Ended, never deleted: who waited how long is asked later. */
export const standbyEntries = pgTable(
  'standby_entries',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    referralId: text('referral_id').notNull(),
    joinedAt: instant('joined_at').notNull(),
    joinedBy: text('joined_by').notNull(),
    /** The shortest notice at which they can come. */
    noticeHours: integer('notice_hours').notNull(),
    endedAt: instant('ended_at'),
    ended: standbyEnd('ended'),
    endedBy: text('ended_by'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'standby_entries_referral_fk',
      columns: [t.clinicId, t.referralId],
      foreignColumns: [referrals.clinicId, referrals.id],
    }).onDelete('restrict'),
    check('standby_entries_notice', sql`${t.noticeHours} between 1 and 720`),
    check('standby_entries_ended_whole', sql`num_nonnulls(${t.endedAt}, ${t.ended}, ${t.endedBy}) in (0, 3)`),
    uniqueIndex('standby_one_open').on(t.clinicId, t.referralId).where(sql`${t.endedAt} is null`),
  ],
)

export const offerOutcome = pgEnum('offer_outcome', OFFER_OUTCOMES)

/**
 * A start offered to one of them. It is held meanwhile by a visit row with status 'held' and `is_offer`, so that the
 * exclusion constraints keep it from everybody else: one live offer a start.
 */
export const standbyOffers = pgTable(
  'standby_offers',
  {
    clinicId: text('clinic_id').notNull(),
    id: text('id').notNull(),
    entryId: text('entry_id').notNull(),
    referralId: text('referral_id').notNull(),
    /** The row that holds the start. */
    visitId: text('visit_id').notNull(),
    clinicianId: text('clinician_id').notNull(),
    startsAt: instant('starts_at').notNull(),
    endsAt: instant('ends_at').notNull(),
    offeredAt: instant('offered_at').notNull(),
    expiresAt: instant('expires_at').notNull(),
    /** Null = live. */
    outcome: offerOutcome('outcome'),
    settledAt: instant('settled_at'),
    settledBy: text('settled_by'),
  },
  (t) => [
    primaryKey({ columns: [t.clinicId, t.id] }),
    foreignKey({
      name: 'standby_offers_entry_fk',
      columns: [t.clinicId, t.entryId],
      foreignColumns: [standbyEntries.clinicId, standbyEntries.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'standby_offers_visit_fk',
      columns: [t.clinicId, t.visitId],
      foreignColumns: [visits.clinicId, visits.id],
    }).onDelete('restrict'),
    foreignKey({
      name: 'standby_offers_clinician_fk',
      columns: [t.clinicId, t.clinicianId],
      foreignColumns: [clinicians.clinicId, clinicians.id],
    }).onDelete('restrict'),
    check('standby_offers_settled_whole', sql`num_nonnulls(${t.outcome}, ${t.settledAt}, ${t.settledBy}) in (0, 3)`),
    uniqueIndex('standby_one_live_offer').on(t.clinicId, t.entryId).where(sql`${t.outcome} is null`),
    uniqueIndex('standby_offers_visit_key').on(t.clinicId, t.visitId),
    index('standby_offers_start_idx').on(t.clinicId, t.clinicianId, t.startsAt),
  ],
)
