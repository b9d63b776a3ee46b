/** What the worker needs of the world outside, put together from the settings. */

import { type Mailer, type MailSettings, mailPort } from './mail.ts'
import { letterPort } from './render-letter.tsx'
import { newId, secrets } from './secrets.ts'

/** Mail, letters, ids and secrets. `mail.close()` when the process ends. */
export function deliveryPorts(settings: MailSettings) {
  const mail: Mailer = mailPort(settings)
  return { mail, letters: letterPort({ baseUrl: settings.baseUrl, from: settings.mailFrom }), newId, secrets }
}
