/** Signed-off protocol versions. Documents are checked when they are read, once per version and process. */
import { and, desc, eq } from 'drizzle-orm'
import { invariant } from '#lib/base/invariant.ts'
import { loadProtocol } from '#lib/domain/protocol/load.ts'
import type { Protocol } from '#lib/domain/protocol/schema.ts'
import type { Db } from '../client.ts'
import { protocols } from '../schema/index.ts'

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
