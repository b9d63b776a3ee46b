/** What clinicians decided about the exam of a referral. Rows are only ever added; the newest is the whole of it. */
import { and, desc, eq, sql } from 'drizzle-orm'
import type { Temporal } from '#lib/base/time.ts'
import type { Choices } from '#lib/domain/plan/choices.ts'
import type { Db } from '../client.ts'
import { planChoices, staff } from '../schema/index.ts'

export type KeptChoices = {
  choices: Choices
  /** The last decision; null = nobody has changed anything. */
  last: { because: string; byName: string; at: Temporal.Instant } | null
}

export async function findPlanChoices(db: Db, clinicId: string, referralId: string): Promise<KeptChoices> {
  const [row] = await db
    .select({
      choices: planChoices.choices,
      because: planChoices.because,
      byName: sql<string>`coalesce(${staff.name}, ${planChoices.by})`,
      at: planChoices.at,
    })
    .from(planChoices)
    .leftJoin(staff, and(eq(staff.clinicId, planChoices.clinicId), eq(staff.id, planChoices.by)))
    .where(and(eq(planChoices.clinicId, clinicId), eq(planChoices.referralId, referralId)))
    .orderBy(desc(planChoices.at), desc(planChoices.id))
    .limit(1)
  if (!row) return { choices: {}, last: null }
  const { choices, ...last } = row
  // Written by `insertPlanChoices` alone.
  return { choices: choices as Choices, last }
}

/** The caller has locked the referral. */
export async function insertPlanChoices(
  tx: Db,
  row: {
    clinicId: string
    id: string
    referralId: string
    choices: Choices
    because: string
    by: string
    at: Temporal.Instant
  },
): Promise<void> {
  await tx.insert(planChoices).values(row)
}
