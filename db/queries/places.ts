/** Where a clinic sees people: sites with their rooms. Given up, never deleted: visits were there. */
import { and, asc, eq, inArray, sql } from 'drizzle-orm'
import type { Db } from '../client.ts'
import { rooms, sites } from '../schema/index.ts'

export type KeptRoom = { id: string; name: string; isActive: boolean }
export type KeptSite = {
  id: string
  name: string
  address: string
  state: string
  timeZone: string
  isActive: boolean
  version: number
  rooms: KeptRoom[]
}

export async function listSites(db: Db, clinicId: string): Promise<KeptSite[]> {
  return select(db, clinicId, undefined)
}

export async function findSite(db: Db, clinicId: string, id: string): Promise<KeptSite | null> {
  const [found] = await select(db, clinicId, eq(sites.id, id))
  return found ?? null
}

async function select(db: Db, clinicId: string, where: ReturnType<typeof eq> | undefined): Promise<KeptSite[]> {
  const rows = await db
    .select()
    .from(sites)
    .where(and(eq(sites.clinicId, clinicId), where))
    .orderBy(asc(sites.name), asc(sites.id))
  if (rows.length === 0) return []
  const inThem = await db
    .select()
    .from(rooms)
    .where(
      and(
        eq(rooms.clinicId, clinicId),
        inArray(
          rooms.siteId,
          rows.map(({ id }) => id),
        ),
      ),
    )
    .orderBy(asc(rooms.name), asc(rooms.id))
  const at = Map.groupBy(inThem, ({ siteId }) => siteId)
  return rows.map(({ clinicId: _, ...row }) => ({
    ...row,
    rooms: (at.get(row.id) ?? []).map(({ id, name, isActive }) => ({ id, name, isActive })),
  }))
}

/** Writes a new site, or the next version of one that is there. */
export async function writeSite(
  tx: Db,
  clinicId: string,
  { id, ...site }: Omit<KeptSite, 'rooms' | 'version'>,
): Promise<void> {
  await tx
    .insert(sites)
    .values({ ...site, id, clinicId })
    .onConflictDoUpdate({
      target: [sites.clinicId, sites.id],
      set: { ...site, version: sql`${sites.version} + 1` },
    })
}

/** Writes a room, new or changed; with it its site has a new version. */
export async function writeRoom(tx: Db, clinicId: string, siteId: string, { id, ...room }: KeptRoom): Promise<void> {
  await tx
    .insert(rooms)
    .values({ ...room, id, clinicId, siteId })
    .onConflictDoUpdate({ target: [rooms.clinicId, rooms.id], set: room })
  await tx
    .update(sites)
    .set({ version: sql`${sites.version} + 1` })
    .where(and(eq(sites.clinicId, clinicId), eq(sites.id, siteId)))
}
