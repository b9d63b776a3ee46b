import type { Metadata } from 'next'
import { redirect } from 'next/navigation'
import { signInWays } from '#app/_server/auth.ts'
import { unsignedContext } from '#app/_server/runtime.ts'
import { currentStaff } from '#app/_server/staff-page.ts'
import { Actions, Button } from '#app/_ui/button.tsx'
import { FormShell } from '#app/_ui/form-shell.tsx'
import { Notice } from '#app/_ui/notice.tsx'
import { SelectField } from '#app/_ui/select-field.tsx'
import { TextField } from '#app/_ui/text-field.tsx'
import { Wordmark } from '#app/_ui/wordmark.tsx'
import { readClinics } from '#lib/usecases/read-clinics.ts'
import { signIn } from './actions.ts'
import { refusalWords } from './refusal-words.ts'
import styles from './sign-in.module.css'

export const metadata: Metadata = { title: null }

export default async function SignInPage({ searchParams }: PageProps<'/sign-in'>) {
  if (await currentStaff()) redirect('/')
  const query = await searchParams
  const clinics = await readClinics(unsignedContext())
  const { hasSingleSignOn, isDemo } = signInWays()
  return (
    <main id="main" className={styles.sheet}>
      <p className={styles.brand}>
        <Wordmark />
      </p>
      {'signed-out' in query && <p role="status">You are signed out.</p>}
      {'new-passphrase' in query && <p role="status">Your passphrase is changed. Sign in with the new one.</p>}
      {typeof query.error === 'string' && <Notice kind="caution" heading={refusalWords(query.error)} />}
      <FormShell action={signIn} title="Sign in – Farstep">
        <h1>Sign in</h1>
        {clinics.length > 1 && (
          <SelectField
            name="clinicId"
            label="Clinic"
            none="Choose your clinic"
            options={clinics.map(({ id, name }) => ({ value: id, label: name }))}
          />
        )}
        <TextField name="email" label="E-mail" type="email" autoComplete="username" spellCheck={false} />
        <TextField name="passphrase" label="Passphrase" type="password" autoComplete="current-password" />
        <Actions>
          <Button>Sign in</Button>
        </Actions>
      </FormShell>
      {hasSingleSignOn && (
        <p className={styles.elsewhere}>
          <a href="/sign-in/organisation">Sign in through your organisation</a>
        </p>
      )}
      <p className={styles.note}>
        {isDemo && 'This is an invented clinic; its sign-ins stand where the demo was started. '}
        For people who work at the clinic. Patients come in by their personal link.
      </p>
    </main>
  )
}
