/** `npm run demo`: the invented clinic on this machine, from a fresh clone to a running server in one command. */
import { createServer } from 'node:net'
import { explainFaults, readSettings } from '#lib/adapters/settings.ts'
import { DEMO_SIGN_INS } from '#seed/sign-ins.ts'
import { buildApp, isBuilt } from './built-app.ts'
import { prepareDemoFolder } from './demo-data.ts'
import { serve } from './serve.ts'

const env = { ...process.env, DEMO: '1' }
const result = readSettings({ ...env, NODE_ENV: 'production' })
if (!result.ok) {
  console.error(explainFaults(result.error))
  process.exit(1)
}
const { port, baseUrl } = result.value
if (!(await isFree(port))) {
  console.error(`Port ${port} is in use. Stop what runs there, or choose another: PORT=${port + 1} npm run demo`)
  process.exit(1)
}
if (!isBuilt()) {
  console.log('Building the app …')
  buildApp()
}
await prepareDemoFolder(result.value)

console.log(
  [
    '',
    `Farstep demo: ${baseUrl}   (Ctrl-C stops it; nothing is lost)`,
    ...DEMO_SIGN_INS.map(({ email, password, role }) => `  ${role.padEnd(12)} ${email}   ${password}`),
    '',
  ].join('\n'),
)
serve({ port, hostname: 'localhost', env: { DEMO: '1', PORT: String(port) } })

function isFree(port: number): Promise<boolean> {
  return new Promise((resolve) => {
    const probe = createServer()
    probe.once('error', () => resolve(false))
    probe.listen(port, 'localhost', () => probe.close(() => resolve(true)))
  })
}
