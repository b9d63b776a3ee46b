/**
 * The latest answer to each question of a referral. An answer that stays the same keeps its source and time: since when
 * a red flag has been known decides how long there is left.
 */
import { and, eq, inArray, type SQL, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Answer, Answers } from '#lib/domain/protocol/need.ts'
import type { Db } from '../client.ts'
import { prepared } from '../prepared.ts'
import { answers, visits } from '../schema/index.ts'

export type AnswerSource = (typeof answers.$inferSelect)['source']
export type AnswerRow = {
  factId: string
  value: Answer
  source: AnswerSource
  answeredBy: string
  answeredAt: Temporal.Instant
}

export async function listAnswers(db: Db, clinicId: string, referralId: string): Promise<AnswerRow[]> {
  const ofReferral = and(eq(answers.clinicId, clinicId), eq(answers.referralId, referralId))
  return (await selectAnswers(db, ofReferral)) as AnswerRow[]
}

/** The answers of the referral that a visit belongs to. */
export async function listAnswersOfVisit(db: Db, clinicId: string, visitId: string): Promise<AnswerRow[]> {
  return (await selectOfVisit(db, { clinicId, visitId })) as AnswerRow[]
}

const selectOfVisit = prepared('answers_of_visit', (db) => {
  const clinicId = sql.placeholder('clinicId')
  const visit = db
    .select({ referralId: visits.referralId })
    .from(visits)
    .where(and(eq(visits.clinicId, clinicId), eq(visits.id, sql.placeholder('visitId'))))
  return selectAnswers(db, and(eq(answers.clinicId, clinicId), inArray(answers.referralId, visit)))
})

/** The answers of many referrals, by referral. */
export async function listAnswersOf(
  db: Db,
  clinicId: string,
  referralIds: readonly string[],
): Promise<Map<string, Answers>> {
  if (referralIds.length === 0) return new Map()
  const rows = await db
    .select({ referralId: answers.referralId, factId: answers.factId, value: answers.value })
    .from(answers)
    .where(and(eq(answers.clinicId, clinicId), inArray(answers.referralId, [...referralIds])))
  const byReferral = Map.groupBy(rows, ({ referralId }) => referralId)
  return new Map(
    [...byReferral].map(([id, own]) => [id, Object.fromEntries(own.map((row) => [row.factId, row.value as Answer]))]),
  )
}

function selectAnswers(db: Db, which: SQL | undefined) {
  return db
    .select({
      factId: answers.factId,
      value: answers.value,
      source: answers.source,
      answeredBy: answers.answeredBy,
      answeredAt: answers.answeredAt,
    })
    .from(answers)
    .where(which)
}

/** As the engine reads them. */
export function asAnswers(rows: readonly AnswerRow[]): Answers {
  return Object.fromEntries(rows.map((row) => [row.factId, row.value]))
}

export type GivenBy = {
  clinicId: string
  referralId: string
  source: AnswerSource
  answeredBy: string
  answeredAt: Temporal.Instant
}
/** What stood there, and what stands there now; only where that differs. null = was not answered. */
export type AnswerChange = { before: Record<string, Answer | null>; after: Record<string, Answer> }

/** Writes answers and returns what changed, for the audit. The caller has locked the referral. */
export async function upsertAnswers(tx: Db, by: GivenBy, given: Answers): Promise<AnswerChange> {
  const stood = asAnswers(await listAnswers(tx, by.clinicId, by.referralId))
  const changed = Object.entries(given).filter(([factId, value]) => stood[factId] !== value)
  if (changed.length === 0) return { before: {}, after: {} }
  await tx
    .insert(answers)
    .values(changed.map(([factId, value]) => ({ ...by, factId, value })))
    .onConflictDoUpdate({
      target: [answers.clinicId, answers.referralId, answers.factId],
      set: {
        value: sql`excluded.value`,
        source: sql`excluded.source`,
        answeredBy: sql`excluded.answered_by`,
        answeredAt: sql`excluded.answered_at`,
      },
    })
  return {
    before: Object.fromEntries(changed.map(([factId]) => [factId, stood[factId] ?? null])),
    after: Object.fromEntries(changed),
  }
}
