/** `npm run migrate`: brings the database of the settings to the present schema. */
import { openDatabase } from '#db/client.ts'
import { migrate } from '#db/migrate.ts'
import { settings } from '#lib/adapters/settings.ts'

const database = await openDatabase(settings())
await migrate(database)
await database.close()
console.log('The database has the present schema.')
