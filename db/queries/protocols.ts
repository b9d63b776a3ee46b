/** Protocol versions. Documents of those in use are checked when they are read, once per version and process. */
import { and, asc, desc, eq, sql } from 'drizzle-orm'
import { invariant } from '#lib/base/invariant.ts'
import type { Temporal } from '#lib/base/time.ts'
import { loadProtocol } from '#lib/domain/protocol/load.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import type { Db } from '../client.ts'
import { protocols, staff } from '../schema/index.ts'

/** A signed-off version never changes (trigger), so what was once loaded stays true. */
const loaded = new Map<string, Protocol>()

/** The version a referral was triaged with. */
export async function getProtocol(db: Db, clinicId: string, id: string, version: number): Promise<Protocol> {
  const key = `${clinicId} ${id} ${version}`
  const known = loaded.get(key)
  if (known) return known
  const [row] = await db
    .select({ document: protocols.document, status: protocols.status })
    .from(protocols)
    .where(and(eq(protocols.clinicId, clinicId), eq(protocols.id, id), eq(protocols.version, version)))
  invariant(row, 'a referral names a protocol version that is not there')
  const result = loadProtocol(row.document)
  invariant(result.ok, 'a signed-off protocol does not load')
  if (row.status !== 'draft') loaded.set(key, result.value)
  return result.value
}

/** The newest signed-off version of each protocol: what new referrals are triaged with. */
export async function listCurrentProtocols(db: Db, clinicId: string): Promise<Protocol[]> {
  const rows = await db
    .selectDistinctOn([protocols.id], { id: protocols.id, version: protocols.version })
    .from(protocols)
    .where(and(eq(protocols.clinicId, clinicId), eq(protocols.status, 'signed_off')))
    .orderBy(protocols.id, desc(protocols.version))
  return Promise.all(rows.map((row) => getProtocol(db, clinicId, row.id, row.version)))
}

export type VersionLine = {
  id: string
  version: number
  status: 'draft' | 'signed_off' | 'retired'
  title: string
  signedOffBy: string | null
  signedOffAt: Temporal.Instant | null
}

/** Every version of every protocol, the newest first, without their documents. */
export async function listVersions(db: Db, clinicId: string): Promise<VersionLine[]> {
  return db
    .select({
      id: protocols.id,
      version: protocols.version,
      status: protocols.status,
      title: sql<string>`${protocols.document} -> 'title' ->> 'en'`,
      signedOffBy: staff.name,
      signedOffAt: protocols.signedOffAt,
    })
    .from(protocols)
    .leftJoin(staff, and(eq(staff.clinicId, protocols.clinicId), eq(staff.id, protocols.signedOffBy)))
    .where(eq(protocols.clinicId, clinicId))
    .orderBy(asc(protocols.id), desc(protocols.version))
}

export type StoredVersion = {
  status: VersionLine['status']
  document: unknown
  /** Says whether the document is still the one that somebody looked at. */
  mark: string
}

type Key = { clinicId: string; id: string; version: number }

const isVersion = ({ clinicId, id, version }: Key) =>
  and(eq(protocols.clinicId, clinicId), eq(protocols.id, id), eq(protocols.version, version))

const storedColumns = {
  status: protocols.status,
  document: protocols.document,
  mark: sql<string>`md5(${protocols.document}::text)`,
}

export async function findVersion(db: Db, key: Key): Promise<StoredVersion | null> {
  const [row] = await db.select(storedColumns).from(protocols).where(isVersion(key))
  return row ?? null
}

/** As `findVersion`, and nobody else changes it until this transaction ends. */
export async function findVersionForUpdate(tx: Db, key: Key): Promise<StoredVersion | null> {
  const [row] = await tx.select(storedColumns).from(protocols).where(isVersion(key)).for('update')
  return row ?? null
}

export async function insertDraft(tx: Db, key: Key, document: Protocol): Promise<void> {
  await tx.insert(protocols).values({ ...key, status: 'draft', document })
}

/** The caller has locked the draft. */
export async function writeDraft(tx: Db, key: Key, document: Protocol): Promise<void> {
  await tx.update(protocols).set({ document }).where(isVersion(key))
}

/** The caller has locked the draft. What was signed off is kept by a trigger. */
export async function deleteDraft(tx: Db, key: Key): Promise<void> {
  await tx.delete(protocols).where(isVersion(key))
}

/** The caller has locked the draft. From here on its words stay (trigger). */
export async function signOffVersion(tx: Db, key: Key, by: { id: string; at: Temporal.Instant }): Promise<void> {
  await tx.update(protocols).set({ status: 'signed_off', signedOffBy: by.id, signedOffAt: by.at }).where(isVersion(key))
}
