/** `npm run new-clinic -- FILE.json`: sets a clinic up in the database of the settings, or says everything that is wrong. */
import { readFileSync } from 'node:fs'
import { openDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { newId, secrets } from '#lib/adapters/secrets.ts'
import { settings } from '#lib/adapters/settings.ts'
import { Temporal } from '#lib/base/time.ts'
import { setUpClinic } from '#lib/usecases/set-up-clinic.ts'

const path = process.argv[2]
if (path === undefined)
  fail(['Which file? npm run new-clinic -- clinic.json (seed/samples/clinic.json shows the form)'])

const database = await openDatabase(settings())
try {
  await migrate(database)
  const ctx = { db: database.db, now: () => Temporal.Now.instant(), newId, secrets }
  const result = await setUpClinic(ctx, { document: readDocument(path), isDemo: false })
  if (result.ok) {
    console.log(`The clinic "${result.value.slug}" is there. Start the app and sign in with the addresses of the file.`)
    console.log('Its name stands in every message to patients: choose one that names no part of the body.')
  } else if (result.error.code === 'clinic_exists') {
    fail(['A clinic with this id or slug is there already; nothing was changed.'])
  } else {
    fail(result.error.faults.map(({ path: where, message }) => `${where}: ${message}`))
  }
} finally {
  await database.close()
}

function readDocument(file: string): unknown {
  try {
    return JSON.parse(readFileSync(file, 'utf8'))
  } catch (error) {
    return fail([`${file} could not be read: ${error instanceof Error ? error.message : 'not JSON'}`])
  }
}

function fail(lines: readonly string[]): never {
  for (const line of lines) console.error(line)
  process.exit(2)
}
