/** What is in this database at all? Asked when a process starts, before anybody is signed in. */
import { and, eq } from 'drizzle-orm'
import type { Db } from '#db/client.ts'
import { clinics, staff } from '#db/schema/index.ts'

/** Whether no clinic was ever set up here. */
export async function isEmptyInstallation(db: Db): Promise<boolean> {
  return (await db.select({ id: clinics.id }).from(clinics).limit(1)).length === 0
}

/** Whether somebody could sign in with the demo's published passwords. */
export async function hasDemoSignIns(db: Db): Promise<boolean> {
  const found = await db
    .select({ id: staff.id })
    .from(staff)
    .where(and(eq(staff.isDemo, true), eq(staff.isActive, true)))
    .limit(1)
  return found.length > 0
}
