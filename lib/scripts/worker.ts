/** `npm run worker`: sends mail and reminders beside the app. */
import { runWorker } from '#lib/jobs/worker-main.ts'

await runWorker()
