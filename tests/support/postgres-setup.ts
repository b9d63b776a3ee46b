/** Once per run: a server and one migrated database that every test worker copies. */
import type { TestProject } from 'vitest/node'
import { openDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { startPostgres } from './postgres-server.ts'

export const TEMPLATE = 'farstep_template'

export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const server = await startPostgres()
  try {
    const admin = await openDatabase({ databaseUrl: server.urlOf('postgres'), dataDir: null })
    await admin.db.execute(`create database ${TEMPLATE}`)
    await admin.close()
    const template = await openDatabase({ databaseUrl: server.urlOf(TEMPLATE), dataDir: null })
    await migrate(template)
    await template.close()
  } catch (error) {
    await server.stop()
    throw error
  }
  project.provide('postgres', { adminUrl: server.urlOf('postgres'), template: TEMPLATE })
  return () => server.stop()
}
