/** Whoever is signed in gives themselves a new passphrase. */
import type { Metadata } from 'next'
import { staffContext } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Opener } from '#app/_ui/opener.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { BackLink } from '#app/_ui/way-links.tsx'
import { PASSPHRASE_HINT } from '../passphrase-words.ts'
import { renewPassphrase } from './actions.ts'

export const metadata: Metadata = { title: null }

export default async function PassphrasePage() {
  await staffContext('passphrase.write')
  return (
    <>
      <BackLink href="/clinic">Clinic</BackLink>
      <Opener kicker="Your passphrase">A new passphrase signs you out everywhere, here as well.</Opener>
      <FormShell action={renewPassphrase} title="Your passphrase – Farstep">
        <TextField
          name="currentPassphrase"
          label="The passphrase you have"
          type="password"
          autoComplete="current-password"
          width={20}
        />
        <TextField
          name="newPassphrase"
          label="The new one"
          hint={PASSPHRASE_HINT}
          type="password"
          autoComplete="new-password"
          width={20}
        />
        <TextField
          name="repeatedPassphrase"
          label="The new one once more"
          type="password"
          autoComplete="new-password"
          width={20}
        />
        <Actions>
          <Button>Change it and sign in again</Button>
        </Actions>
      </FormShell>
    </>
  )
}
