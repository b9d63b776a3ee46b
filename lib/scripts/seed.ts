/** `npm run seed`: puts the demo clinic into an empty database. Production refuses to start over one that has it. */
import { settings } from '#lib/adapters/settings.ts'
import { prepareDemoData } from './demo-data.ts'

const wasEmpty = await prepareDemoData(settings())
console.log(wasEmpty ? 'The demo clinic is there.' : 'Nothing done: this database already has a clinic.')
