/** `npm start`: the production server over the last build. It refuses the demo and any wrong setting. */
import { explainFaults, readSettings } from '#lib/adapters/settings.ts'
import { serve } from './serve.ts'

const result = readSettings({ ...process.env, NODE_ENV: 'production' })
if (!result.ok) {
  console.error(explainFaults(result.error))
  process.exit(1)
}
if (result.value.isDemo) {
  const problem = 'is 1, and the demo has public sign-ins'
  console.error(explainFaults([{ variable: 'DEMO', problem, mend: 'Leave it out, or use `npm run demo`.' }]))
  process.exit(1)
}
serve({ port: result.value.port })
