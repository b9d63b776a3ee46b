/** Once per run: one migrated embedded database as a file, because opening a copy is far quicker than migrating anew. */
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { TestProject } from 'vitest/node'
import { openDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'

export default async function setup(project: TestProject): Promise<() => void> {
  const database = await openDatabase({ databaseUrl: null, dataDir: null })
  await migrate(database)
  const dump = await database.dump?.()
  await database.close()
  if (!dump) throw new Error('The embedded database gave no dump')
  const folder = mkdtempSync(join(tmpdir(), 'farstep-pglite-'))
  const snapshot = join(folder, 'snapshot.tar')
  writeFileSync(snapshot, Buffer.from(await dump.arrayBuffer()))
  project.provide('pglite', { snapshot })
  return () => rmSync(folder, { recursive: true, force: true })
}
