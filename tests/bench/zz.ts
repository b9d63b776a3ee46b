import postgres from 'postgres'
import { drizzle } from 'drizzle-orm/postgres-js'
import { migrate } from '#db/migrate.ts'
import { loadSupply } from '#db/queries/supply.ts'
import { openSomewhere } from './open-somewhere.ts'
import { fill } from './zzreq.ts'
import { clinic, FROM, randomFrom } from './slot-search.ts'
import { addSmallClinic, CLINIC } from '../support/clinic.ts'
import { Temporal } from '#lib/base/time.ts'
const { database, stop } = await openSomewhere()
await migrate(database); await addSmallClinic(database.db)
await fill(database.db, clinic(200, 90, 60000, randomFrom(7)))
await database.db.execute('analyze')
const opts = (database.db as any).$client.options
let print = false
const client = postgres({ host: opts.host[0], port: opts.port[0], database: opts.database, user: opts.user, max: 1, onnotice: n => { if (print) console.log(n.message) } })
const u = client.unsafe; client.unsafe = ((q: any, p: any, o: any) => u(q, p, {...o, prepare: p?.length > 0})) as any
const db = drizzle({ client }) as any
const now = Temporal.Instant.fromEpochMilliseconds(FROM).add({hours: 24*10})
for (const part of [{clinicianId: null}, {clinicianId: null, only: {mode: 'video' as const, state: 'NY', siteId: null}, rooms: false, interpreting: null}, {clinicianId: null, only: {mode: 'in_person' as const, state: 'NY', siteId: 'site_1'}, interpreting: null}, {clinicianId:'cli_3', interpreting: null}])
for (const days of [2, 20]) {
  for (let i = 0; i < 9; i++) {
    if (i === 8) { await client.unsafe(`load 'auto_explain'`); await client.unsafe(`set auto_explain.log_min_duration=0; set auto_explain.log_analyze=on; set auto_explain.log_buffers=on; set client_min_messages=log`); print = true; console.log('#####', JSON.stringify(part), days) }
    const b = performance.now()
    const s = await loadSupply(db, CLINIC, { from: now, to: now.add({hours: 24*days}), now, patientId: 'x', referralId: 'y', ...part })
    if (i < 8) console.log('ms', (performance.now()-b).toFixed(1), s.sessions.length, s.busy.length)
    print = false
    if (i === 8) await client.unsafe(`set client_min_messages=warning`)
  }
}
await client.end(); await database.close(); await stop()
